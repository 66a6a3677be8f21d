"""A hundred thousand parts with a past in the tables, offered by a few suppliers."""

from __future__ import annotations

import io
from datetime import date
from typing import Final

import numpy as np
from django.db import connection

from .made_up_sales import Table
from .shelves import Shelf, stocked, tidied

SUPPLIERS: Final = 20
PREFIX: Final = "TARGET"
EACH: Final = 30  # enough of most parts: a shop in order has no alert for each of them

OFFERS = """
INSERT INTO inventory_supplier (code, name, email, lead_days, least_value, carriage, review_days)
SELECT 'bench-' || n, 'Bench ' || n, '', (ARRAY[7, 14, 21, 30, 45, 60])[1 + n %% 6], 0, 0, 7
FROM generate_series(1, %(suppliers)s) AS n;
INSERT INTO inventory_offer (supplier_id, part_id, their_number, price, pack, least)
SELECT supplier.id, part.id, '', (5 + exp(random() * 8))::numeric(10, 2), 1, 1
FROM inventory_part AS part JOIN inventory_supplier AS supplier
    ON supplier.code = 'bench-' || (1 + part.id %% %(suppliers)s)
WHERE part.id BETWEEN %(first)s AND %(last)s;
"""
COPY = "COPY inventory_monthlydemand (part_id, month, quantity) FROM STDIN"


def fill(table: Table) -> Shelf:
    """The rows of `table` as parts with that past up to the last whole month, written by the database."""
    shelf = stocked(PREFIX, len(table), EACH)
    with connection.cursor() as cursor:
        cursor.execute(OFFERS, {"suppliers": SUPPLIERS, "first": shelf.first, "last": shelf.last})
        with cursor.connection.cursor().copy(COPY) as copy:
            for start in range(0, len(table), 5000):
                copy.write(_lines(table[start : start + 5000], shelf.first + start))
    tidied("inventory_offer", "inventory_monthlydemand")
    return shelf


def _lines(table: Table, first: int) -> str:
    """What was asked for, and the first month on sale in any case."""
    rows, columns = np.nonzero(table > 0)
    months = [day.isoformat() for day in _months(table.shape[1])]
    lines = io.StringIO()
    for row, column in zip(rows.tolist(), columns.tolist(), strict=True):
        lines.write(f"{first + row}\t{months[column]}\t{int(table[row, column])}\n")
    return lines.getvalue()


def _months(count: int) -> list[date]:
    today = date.today()  # noqa: DTZ011  # the demo's dates count from the day of the shop
    last = today.year * 12 + today.month - 2
    return [date(month // 12, month % 12 + 1, 1) for month in range(last - count + 1, last + 1)]
