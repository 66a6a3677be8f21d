"""Does a long history cost anything? A hold and a promise with a million reservations in the tables.

And what can be promised of a hundred thousand parts: the planning by itself, and read from the tables.
"""

import statistics
import time
from collections.abc import Callable
from datetime import date, timedelta
from random import Random

from django.db import connection
from django.utils import timezone

from inventory.models import PurchaseOrder, Reservation, Supplier
from inventory.planning import many_available
from inventory.promising import promise, whole_shop

from .holder import keep_for
from .pgbench import Kits
from .shelves import Shelf, stocked, tidied
from .table import Row, timings

PAST = 1_000_000
LIVE = 20_000
MANY = 100_000
HOLDS = 400
TABLES = ("inventory_reservation", "inventory_reservationline", "inventory_stock", "inventory_purchaseline")

# Nothing is kept of these parts any more, and nothing of them is remembered.
FORGET = """
DELETE FROM inventory_reservationline WHERE part_id BETWEEN %(first)s AND %(last)s;
DELETE FROM inventory_reservation AS gone WHERE reference IN ('bench', 'pgbench')
    AND NOT EXISTS (SELECT FROM inventory_reservationline WHERE reservation_id = gone.id);
UPDATE inventory_stock SET held = 0, committed = 0 WHERE part_id BETWEEN %(first)s AND %(last)s;
"""
# Three lines each, on different parts. The rows refer to what is there; to look it up takes most of the time.
PASSED = """
SET session_replication_role = replica;
WITH made AS (
    INSERT INTO inventory_reservation (kind, state, reference, made_at, until)
    SELECT CASE n %% 3 WHEN 0 THEN 'commitment' ELSE 'hold' END,
        CASE n %% 3 WHEN 0 THEN 'used' WHEN 1 THEN 'lapsed' ELSE 'released' END,
        'bench', now() - interval '1 day', CASE n %% 3 WHEN 0 THEN NULL ELSE now() - interval '1 hour' END
    FROM generate_series(1, %(past)s) AS n RETURNING id
)
INSERT INTO inventory_reservationline (reservation_id, part_id, quantity)
SELECT id, %(first)s + (id * 7 + nth * %(count)s / 3) %% %(count)s, 1
FROM made, generate_series(0, 2) AS nth;
SET session_replication_role = origin;
"""
# Commitments that wait to be picked, five parts each and alike for all parts; half of the parts on order.
ALIVE = """
WITH made AS (
    INSERT INTO inventory_reservation (kind, state, reference, made_at)
    SELECT 'commitment', 'kept', 'bench', now() FROM generate_series(1, %(live)s) RETURNING id
), lines AS (
    INSERT INTO inventory_reservationline (reservation_id, part_id, quantity)
    SELECT id, %(first)s + (id * 5 + nth) %% %(count)s, 1 FROM made, generate_series(0, 4) AS nth
    RETURNING part_id, quantity
), kept AS (SELECT part_id, SUM(quantity) AS quantity FROM lines GROUP BY part_id)
UPDATE inventory_stock AS stock SET committed = committed + kept.quantity
FROM kept WHERE stock.part_id = kept.part_id;
INSERT INTO inventory_purchaseline (order_id, part_id, quantity, received, reserved, price, due)
SELECT %(order)s, part, 10, 0, 0, 1, current_date + 1 + (part %% 60)::integer
FROM generate_series(%(first)s, %(last)s, 2) AS part;
"""


def run() -> list[Row]:
    shelf, many = stocked("R", 1000, 10**7), stocked("M", MANY, 50)
    kits = Kits(shelf, hot=False)
    _write(FORGET, shelf)
    before = _hold(kits)
    _write(PASSED, shelf, past=PAST)
    _write(ALIVE, many, live=LIVE, order=_sent(many))
    after = _hold(kits)
    wants = dict.fromkeys(kits.parts(kits.starts[0] + 100), 1)
    beyond = dict.fromkeys(range(many.first, many.first + 20, 2), 55)  # from the deliveries as well
    return [
        timings("hold a ten-part kit, no reservation before it", before),
        _grown(timings(f"the same, {PAST:,} reservations before it", after), before, after),
        timings(f"promise a ten-part kit, {PAST:,} reservations", _times(lambda: _promised(wants), 100)),
        timings("the same, of parts that are to come", _times(lambda: _promised(beyond), 100)),
        timings(f"available to promise, {MANY:,} parts, figures in columns", _times(_generated(), 3)),
        timings(
            f"the same from the tables, {LIVE * 5:,} lines kept and {MANY // 2:,} to come", _times(_shop, 2)
        ),
    ]


def _write(statements: str, shelf: Shelf, **more: int) -> None:
    """Run them on the parts of the shelf, and leave the tables as tidy as a quiet hour would."""
    of = {"first": shelf.first, "last": shelf.last, "count": shelf.count, **more}
    with connection.cursor() as cursor:
        cursor.execute(statements, of)
    tidied(*TABLES)


def _sent(shelf: Shelf) -> int:
    supplier = Supplier.objects.order_by("pk")[0]
    order = PurchaseOrder.objects.create(
        supplier=supplier,
        state=PurchaseOrder.State.SENT,
        sent_at=timezone.now(),
        made_by_id=shelf.by,
        approved_at=timezone.now(),
        approved_by_id=shelf.by,
    )
    return order.pk


def _hold(kits: Kits) -> list[float]:
    """After as many that do not count: the first to touch a page after a checkpoint writes all of it."""
    keep_for(kits, 60, seed=1, at_most=2 * HOLDS)
    return keep_for(kits, 60, seed=2, at_most=HOLDS)


def _grown(row: Row, before: list[float], after: list[float]) -> Row:
    ratio = statistics.median(after) / statistics.median(before)
    there = f"{Reservation.objects.count():,} in the table"
    return Row(row.what, row.figure, there, f"{ratio:.2f} times the time")


def _promised(wants: dict[int, int]) -> None:
    assert promise(wants, timezone.now()).on is not None


def _shop() -> None:
    assert len(whole_shop(timezone.now()).at(timezone.localdate())) > MANY


def _generated() -> Callable[[], object]:
    """Two takings and two arrivals of each part, on random days of half a year."""
    chance, today = Random(4), date(2026, 3, 2)

    def some_day() -> date:
        return today + timedelta(days=chance.randrange(180))

    here = {part: chance.randrange(100) for part in range(MANY)}
    takings = [(part, some_day(), chance.randint(1, 20)) for part in range(MANY) for _ in range(2)]
    arrivals = [
        (part, some_day(), chance.randint(10, 50), chance.randrange(10))
        for part in range(MANY)
        for _ in range(2)
    ]
    return lambda: many_available(here, takings, arrivals, today).at(today)


def _times(work: Callable[[], object], rounds: int) -> list[float]:
    took = []
    for _round in range(rounds):
        started = time.perf_counter()
        work()
        took.append(time.perf_counter() - started)
    return took
