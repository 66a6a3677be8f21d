"""Rows of the database as columns of whole numbers, without an object for each of millions of rows."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import TYPE_CHECKING, Any

from django.core.exceptions import EmptyResultSet
from django.db import connection
from django.db.models import BigIntegerField, DateField, QuerySet
from django.db.models.functions import Cast

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

# Days are counted from 1 January of year 1 as Python does, by NumPy from 1970 and by PostgreSQL from 2000.
NUMPY_DAY_0 = date(1970, 1, 1).toordinal()
POSTGRESQL_DAY_0 = date(2000, 1, 1).toordinal()
# Before the rows of a binary COPY: signature, flags, length of an extension; after them, a count of -1.
_HEADER, _TRAILER = 19, 2


def in_columns(rows: QuerySet[Any], numbers: Sequence[str], days: Sequence[str]) -> list[NDArray[np.int64]]:
    """The fields `numbers` and then `days` (as ordinals) of all rows, each a column; none of them empty.

    Whole numbers and truths count as numbers. The order of the rows is that of `rows`.
    """
    casts = {f"n_{name}": Cast(name, BigIntegerField()) for name in numbers}
    casts |= {f"d_{name}": Cast(name, DateField()) for name in days}
    cast = rows.annotate(**casts).values_list(*casts)
    return (_copied if connection.vendor == "postgresql" else _one_by_one)(cast, len(numbers), len(days))


def _copied(rows: QuerySet[Any, Any], numbers: int, days: int) -> list[NDArray[np.int64]]:
    """By a binary COPY, which is several times quicker than rows that become objects on their way."""
    import numpy as np

    try:
        sql, params = rows.query.sql_with_params()
    except EmptyResultSet:  # Django sees beforehand that no row can be meant.
        return [np.zeros(0, np.int64) for _ in range(numbers + days)]
    found = bytearray()
    with connection.cursor() as cursor:
        # Parameters cannot be bound in a COPY: the driver quotes them into the text.
        operations: Any = connection.ops
        statement = operations.compose_sql(f"COPY ({sql}) TO STDOUT (FORMAT BINARY)", params)
        with cursor.copy(statement) as copy:
            for piece in copy:
                found += piece
    fields: list[tuple[str, str]] = [("count", ">i2")]
    for column in range(numbers + days):
        fields += [(f"bytes{column}", ">i4"), (f"{column}", ">i8" if column < numbers else ">i4")]
    row = np.dtype(fields)
    count = (len(found) - _HEADER - _TRAILER) // row.itemsize
    table = np.frombuffer(found, row, count, _HEADER)
    zeros = [0] * numbers + [POSTGRESQL_DAY_0] * days
    return [table[f"{column}"].astype(np.int64) + zero for column, zero in enumerate(zeros)]


def _one_by_one(rows: QuerySet[Any, Any], numbers: int, days: int) -> list[NDArray[np.int64]]:
    import numpy as np

    kinds = ["i8"] * numbers + ["M8[D]"] * days
    row = np.dtype([(f"{column}", kind) for column, kind in enumerate(kinds)])
    table = np.fromiter(rows.iterator(), row)
    zeros = [0] * numbers + [NUMPY_DAY_0] * days
    return [table[f"{column}"].astype(np.int64) + zero for column, zero in enumerate(zeros)]
