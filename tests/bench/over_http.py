"""Holds of a ten-part kit per second over HTTP: quotes held by clients at once, at two gunicorn processes.

The quotes are there before; each is held once, with a key of its own.
"""

import itertools
import threading
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from random import Random

from django.conf import settings
from django.contrib.auth.models import User
from django.utils import timezone
from rest_framework.authtoken.models import Token

from kits.models import CustomKit
from shop.models import Customer, Quote, QuoteKit, QuoteLine

from .pgbench import Kits
from .rates import Rate
from .serving import Client, served
from .shelves import stocked
from .table import Row

SECONDS = 3
CLIENTS = (1, 4, 16)
QUOTES = 1500  # for each measurement: more than are held in the time
WORKERS, THREADS = 2, 8


def run() -> list[Row]:
    shelf = stocked("R", 1000, 10**7)
    user = User.objects.get(username="counter")
    token, _made = Token.objects.get_or_create(user=user)
    rows = []
    with served(workers=WORKERS, threads=THREADS) as port:
        # What a process reads and connects to for its first answers is not what a hold costs.
        _held(port, token.key, _quotes(Kits(shelf, hot=False), user), max(CLIENTS))
        for hot, clients in itertools.product((False, True), CLIENTS):
            where = "one hot part" if hot else "spread parts"
            name = (
                f"hold a quote of ten parts over HTTP, {where}, {clients} client{'s' if clients > 1 else ''}"
            )
            rate = _held(port, token.key, _quotes(Kits(shelf, hot), user), clients)
            rows.append(Row(name, str(rate), f"gunicorn, {WORKERS} processes of {THREADS} threads"))
    return rows


def _quotes(kits: Kits, user: User) -> list[int]:
    """Open quotes of random ten-part kits, written all at once; their ids."""
    customer, kit, chance = Customer.objects.order_by("pk")[0], _a_kit(user), Random(7)
    quotes = Quote.objects.bulk_create(
        Quote(
            customer=customer,
            made_by=user,
            valid_until=timezone.now() + timedelta(days=7),
            currency=settings.SHOP_CURRENCY,
            tax_percent=0,
            net=10,
            tax=0,
            gross=10,
        )
        for _ in range(QUOTES)
    )
    quoted = QuoteKit.objects.bulk_create(
        QuoteKit(
            quote=quote,
            kit=kit,
            revision=kit.revision,
            title="ten parts",
            standard_price=10,
            price=10,
            verdict="goes together",
            record={},
        )
        for quote in quotes
    )
    QuoteLine.objects.bulk_create(
        (
            QuoteLine(quote_kit=one, position=position, kind="part", text="part", part_id=part, unit_price=1)
            for one in quoted
            for position, part in enumerate(kits.parts(chance.randint(*kits.starts)), 1)
        ),
        batch_size=5000,
    )
    return [quote.pk for quote in quotes]


def _a_kit(user: User) -> CustomKit:
    from kits import customising
    from kits.models import TemplateRevision

    revision = TemplateRevision.objects.filter(state="released").select_related("template")[0]
    return customising.open_kit(user, revision.template, revision.engines.order_by("code")[0])


def _held(port: int, token: str, quotes: list[int], clients: int) -> Rate:
    """Each client holds the next quote, until the time is up or no quote is left."""
    left, start = iter(quotes), threading.Barrier(clients)
    with ThreadPoolExecutor(clients) as pool:
        at_work = [pool.submit(_hold_on, Client(port, token), left, start) for _ in range(clients)]
        started = time.perf_counter()
        took = [one for client in at_work for one in client.result()]
        return Rate(len(took) / (time.perf_counter() - started), took)


def _hold_on(client: Client, left: Iterator[int], start: threading.Barrier) -> list[float]:
    took: list[float] = []
    start.wait(60)
    end = time.perf_counter() + SECONDS
    for quote in left:
        before = time.perf_counter()
        client.ask("POST", f"/api/quotes/{quote}/hold/", {})
        took.append(time.perf_counter() - before)
        if time.perf_counter() > end:
            break
    return took
