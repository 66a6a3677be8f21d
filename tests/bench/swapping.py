"""A swap over HTTP on the demo kits: the swap itself, then every candidate with verdict and reasons."""

import time
from collections.abc import Iterator

from django.contrib.auth.models import User
from rest_framework.authtoken.models import Token

from kits.models import TemplateRevision

from .serving import Client, served
from .table import Row, timings

BUDGET_MS = 50.0
ROUNDS = 3


def run() -> list[Row]:
    token, _made = Token.objects.get_or_create(user=User.objects.get(username="counter"))
    with served() as port:
        client = Client(port, token.key)
        rows = []
        for revision in TemplateRevision.objects.filter(state="released").select_related("template"):
            rows += list(_one_kit(client, revision))
    return rows


def _one_kit(client: Client, revision: TemplateRevision) -> Iterator[Row]:
    engine = revision.engines.order_by("code")[0]
    kit = client.ask("POST", "/api/custom-kits/", {"template": revision.template.code, "engine": engine.code})
    path = f"/api/custom-kits/{kit['id']}"
    sheet = client.ask("GET", f"{path}/candidates/")
    swaps, asked, both = [], [], []
    for _round in range(ROUNDS):
        for slot in sheet:
            for option in slot["options"][:2]:
                if not option["key"].startswith("parts:"):
                    continue
                started = time.perf_counter()
                swap = {
                    "slot": slot["code"],
                    "key": option["key"],
                    "agreed": "the customer, for the benchmark",
                }
                client.ask("POST", f"{path}/swap/", swap)
                between = time.perf_counter()
                client.ask("GET", f"{path}/candidates/")
                ended = time.perf_counter()
                swaps.append(between - started)
                asked.append(ended - between)
                both.append(ended - started)
    what = (
        f"{revision.template.code} ({len(sheet)} slots, {sum(len(s['options']) for s in sheet)} candidates)"
    )
    yield timings(f"{what}: swap", swaps)
    yield timings(f"{what}: candidates with verdicts and reasons", asked, BUDGET_MS)
    yield timings(f"{what}: swap, then candidates", both)
