"""The bench's own parts: many of them, with pieces on the shelf that the ledger knows of. PostgreSQL.

Written by the database itself, since a hundred thousand acts would be a benchmark of their own. What is
written agrees with the ledger: `manage.py check_ledger` is one of the benchmarks.
"""

from dataclasses import dataclass

from django.contrib.auth.models import User
from django.db import connection

from inventory.ledger import outside
from inventory.models import Category, Maker, Part, Place


@dataclass(frozen=True)
class Shelf:
    """`count` parts with ids that follow each other from `first`, all in one `place`."""

    first: int
    count: int
    place: int
    by: int

    @property
    def last(self) -> int:
        return self.first + self.count - 1


PARTS = """
INSERT INTO inventory_part
    (maker_id, number, key, name, category_id, price, tracking, standing, costing, note)
SELECT %(maker)s, %(prefix)s || '-' || n, %(prefix)s || n, 'part', %(category)s, 1,
    'none', 'current', 'average', ''
FROM generate_series(1, %(count)s) AS n ORDER BY n
"""
# Everything came at once, each piece at 1.25.
CAME = """
INSERT INTO inventory_movement
    (at, act, part_id, quantity, origin_id, destination_id, by_id, reference, reason, value)
SELECT now(), 'receive', id, %(each)s, %(supplier)s, %(place)s, %(by)s, '', '', 1.25 * %(each)s
FROM inventory_part WHERE id BETWEEN %(first)s AND %(last)s;
INSERT INTO inventory_balance (part_id, place_id, quantity, allotted)
SELECT id, %(place)s, %(each)s, 0 FROM inventory_part WHERE id BETWEEN %(first)s AND %(last)s;
INSERT INTO inventory_stock (part_id, on_hand, held, committed, value)
SELECT id, %(each)s, 0, 0, 1.25 * %(each)s FROM inventory_part WHERE id BETWEEN %(first)s AND %(last)s;
"""


def stocked(prefix: str, count: int, each: int) -> Shelf:
    """So many parts with `each` pieces on the shelf; those of this prefix if they are there already."""
    maker, _ = Maker.objects.get_or_create(code="bench", name="Bench")
    category, _ = Category.objects.get_or_create(code="bench", name="Bench")
    place, _ = Place.objects.get_or_create(code="BENCH-DOCK", kind=Place.Kind.DOCK)
    by = User.objects.get(username="counter").pk
    parts = Part.objects.filter(maker=maker, number__startswith=f"{prefix}-").order_by("pk")
    there = parts.first()
    if there is not None:
        return Shelf(there.pk, parts.count(), place.pk, by)
    with connection.cursor() as cursor:
        cursor.execute(PARTS, {"maker": maker.pk, "category": category.pk, "prefix": prefix, "count": count})
        shelf = Shelf(parts[:1].get().pk, count, place.pk, by)
        of = {"first": shelf.first, "last": shelf.last, "place": place.pk, "by": by, "each": each}
        cursor.execute(CAME, {**of, "supplier": outside(Place.Kind.SUPPLIER).pk})
    tidied("inventory_part", "inventory_movement", "inventory_balance", "inventory_stock")
    return shelf


def tidied(*tables: str) -> None:
    """What autovacuum would do in a quiet hour, done now, so that it does not run into a measurement."""
    with connection.cursor() as cursor:
        for table in tables:
            cursor.execute(f"VACUUM (ANALYZE) {table}")
        cursor.execute("CHECKPOINT")
