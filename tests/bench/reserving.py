"""Holds and commitments of a ten-part kit per second, by the acts, beside pgbench changing the same rows.

Spread: ten parts in a row of a thousand. Hot: one part is in every kit, and the other nine are spread.
"""

from collections.abc import Iterator

from tests.servers import Postgres

from .counters import Counters
from .pgbench import Kits, by_pgbench
from .shelves import stocked, tidied
from .table import Row

PARTS = 1000
PLENTY = 10**7
SECONDS = 3
CLIENTS = (1, 4, 16)
BUDGET = 0.5
KEPT_IN = ("inventory_stock", "inventory_reservation", "inventory_reservationline")


def run(server: Postgres) -> list[Row]:
    shelf = stocked("R", PARTS, PLENTY)
    cases = [(Kits(shelf, hot), clients) for hot in (False, True) for clients in CLIENTS]
    cases.append((Kits(shelf, False, "commitment"), 4))
    with Counters(max(CLIENTS)) as counters:
        return [row for kits, clients in cases for row in _case(server, counters, kits, clients)]


def _case(server: Postgres, counters: Counters, kits: Kits, clients: int) -> Iterator[Row]:
    tidied(*KEPT_IN)
    ours = counters.keep(kits, clients, SECONDS)
    tidied(*KEPT_IN)
    theirs = by_pgbench(server, kits, clients, SECONDS)
    tidied(*KEPT_IN)
    prepared = by_pgbench(server, kits, clients, SECONDS, protocol="prepared")
    tidied(*KEPT_IN)
    at_best = by_pgbench(server, kits, clients, SECONDS, protocol="prepared", in_one=True)
    what = "hold" if kits.kind == "hold" else "commit"
    where = "one hot part" if kits.hot else "spread parts"
    name = f"{what} a ten-part kit, {where}, {clients} client{'s' if clients > 1 else ''}"
    yield Row(
        name,
        str(ours),
        f"pgbench {theirs}",
        f"{ours.a_second / theirs.a_second:.2f} (budget {BUDGET:.2f})",
    )
    yield Row("", "", f"pgbench, prepared: {prepared}", f"{ours.a_second / prepared.a_second:.2f}")
    yield Row("", "", f"pgbench, all in one statement: {at_best}", f"{ours.a_second / at_best.a_second:.2f}")
