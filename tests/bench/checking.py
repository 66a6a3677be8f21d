"""`manage.py check_ledger` on ten million movements; SHIMWRIGHT_BENCH_MOVEMENTS names another number."""

import os
import time

from django.core.management import call_command
from django.db import connection

from inventory.ledger import outside
from inventory.models import Movement, Place

from .shelves import stocked, tidied
from .table import Row

MOVEMENTS = int(os.environ.get("SHIMWRIGHT_BENCH_MOVEMENTS", "10000000"))
PARTS = 100_000

# Each part comes in and goes out again at what it costs, so that what is kept beside the ledger stays true.
# The rows refer to what is there; to look it up for each would take most of the time.
MOVED = """
SET session_replication_role = replica;
INSERT INTO inventory_movement
    (at, act, part_id, quantity, origin_id, destination_id, by_id, reference, reason, value)
SELECT now() - interval '2 years' + n * interval '6 seconds',
    CASE n %% 2 WHEN 0 THEN 'receive' ELSE 'ship' END,
    %(first)s + n / 2 %% %(count)s, 4,
    CASE n %% 2 WHEN 0 THEN %(supplier)s ELSE %(place)s END,
    CASE n %% 2 WHEN 0 THEN %(place)s ELSE %(customer)s END,
    %(by)s, 'bench', '', 5
FROM generate_series(0, %(movements)s - 1) AS n;
SET session_replication_role = origin;
"""
INDEXES = """
SELECT indexname, indexdef FROM pg_indexes
WHERE tablename = 'inventory_movement' AND indexname <> 'inventory_movement_pkey'
"""


def run() -> list[Row]:
    shelf = stocked("M", PARTS, 50)
    of = {"first": shelf.first, "count": shelf.count, "place": shelf.place, "by": shelf.by}
    outsides = {"supplier": outside(Place.Kind.SUPPLIER).pk, "customer": outside(Place.Kind.CUSTOMER).pk}
    with connection.cursor() as cursor:
        cursor.execute(INDEXES)
        indexes = cursor.fetchall()
        for name, _definition in indexes:
            cursor.execute(f'DROP INDEX "{name}"')
        cursor.execute(MOVED, {**of, **outsides, "movements": MOVEMENTS // 2 * 2})
        cursor.execute("SET maintenance_work_mem = '512MB'")
        for _name, definition in indexes:
            cursor.execute(definition)
        cursor.execute("RESET maintenance_work_mem")
    tidied("inventory_movement")
    started = time.perf_counter()
    call_command("check_ledger")  # ends with an error if anything differs
    seconds = time.perf_counter() - started
    return [Row(f"check_ledger, {Movement.objects.count():,} movements", f"{seconds:.1f} s")]
