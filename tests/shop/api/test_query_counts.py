"""A list asks the database as often for many things as for one."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from inventory import rounds
from inventory.models import Alert, AlternateNumber, Balance, Demand, Part
from shop import quoting
from tests.shop.api.stages import Stages
from tests.shop.api.talking import Api
from tests.shop.desks.catalogue import drafting, offer

LISTS = [
    "engines/",
    "parts/",
    "kit-templates/",
    "custom-kits/",
    "customers/",
    "quotes/",
    "orders/",
    "notices/",
    "demand/",
    "walks/",
    "alerts/",
    "purchase-orders/",
    "purchase-orders/late/",
    "differences/",
    "supplier-mails/",
    "count-rounds/",
    "corrections/",
    "stock/",
]

# Who suffers is read with the alerts: kits, orders and quotes.
MOST = {"alerts/": 16}


def populate(stages: Stages) -> None:
    """One more of everything that lists and details show."""
    shop = stages.shop
    serials = [f"X{shop.pump.lots.count()}-{number}" for number in range(2)]
    shop.put(shop.pump, 2, serials)
    shop.put(shop.pulley, 2)
    shop.put(shop.bolt, 8)
    AlternateNumber.objects.create(part=shop.pump, number=serials[0], kind="trade")
    quoting.hold(shop.counter, stages.quote())
    stages.walk()
    stages.draft()
    stages.late_line()
    stages.letter()
    stages.difference()
    Demand.objects.create(
        part=shop.pump, first_choice=shop.bolt, day=timezone.localdate(), quantity=1, kind="lost"
    )
    count(stages)


def count(stages: Stages) -> None:
    """One more round, and the correction that came of it."""
    floor, shop = stages.clerk("floor"), stages.shop
    line = rounds.make_round(floor, "quarter", parts=[shop.bolt]).lines.get()
    lying = Balance.objects.get(part=shop.bolt, place=line.place).quantity
    rounds.enter_count(floor, line, lying - 1)


def warn(stages: Stages, part: Part) -> None:
    Alert.objects.create(
        part=part,
        cause="below target",
        reason="3 left",
        quantity=5,
        supplier=stages.shop.supplier,
        order_by=timezone.localdate(),
    )


def asked(api: Api, path: str) -> int:
    api("counter").read(path)  # Rights and content types are read once.
    with CaptureQueriesContext(connection) as queries:
        api("counter").read(path)
    return len(queries)


@pytest.mark.parametrize("path", LISTS)
def test_lists_ask_alike_for_one_and_for_many(path: str, stages: Stages, api: Api) -> None:
    warn(stages, stages.shop.pulley)
    populate(stages)
    few = asked(api, path)
    warn(stages, stages.shop.bolt)
    populate(stages)
    assert asked(api, path) == few <= MOST.get(path, 6)


def details(stages: Stages) -> Iterator[str]:
    """Things of two sizes: a quote of one kit and of three, a walk for one order and for two."""
    shop = stages.shop
    kits = [(stages.kit(), 1) for _ in range(3)]
    yield f"quotes/{stages.quote().pk}/"
    yield f"quotes/{quoting.quote(shop.counter, shop.customer, kits).pk}/"


def test_a_quote_asks_alike_for_one_kit_and_for_three(stages: Stages, api: Api) -> None:
    one, three = (asked(api, path) for path in details(stages))
    assert one == three <= 6


def test_movements_ask_alike_for_few_and_for_many(stages: Stages, api: Api) -> None:
    path = f"stock/{stages.shop.pump.pk}/movements/"
    few = asked(api, path)
    populate(stages)
    assert asked(api, path) == few <= 5


def test_candidates_ask_alike_for_few_and_for_many(stages: Stages, api: Api) -> None:
    path, like = f"custom-kits/{stages.kit().pk}/candidates/", stages.shop.pulley
    counts = []
    for ranks in (range(2, 4), range(4, 24)):
        with drafting(stages.shop.revision):
            for rank in ranks:
                part = Part.objects.create(
                    maker=like.maker, number=f"OR-5{rank}", name="pulley", category=like.category, price=rank
                )
                offer(part, "pulley", rank=rank)
        counts.append(asked(api, path))
    few, many = counts
    assert many == few <= 22
