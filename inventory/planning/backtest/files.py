"""Demand and prices as they come in files (CSV, RFC 4180): lines in, tables out, and every slip named."""

from __future__ import annotations

import csv
import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from typing import TYPE_CHECKING

from inventory.planning.ordering import PlanningError

from .table import BadFigure, sales

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Figures = NDArray[np.float64]
    Whole = NDArray[np.int64]

_MONTH = re.compile(r"([0-9]{4})-(0[1-9]|1[0-2])")
_PIECES = re.compile(r"[0-9]{1,12}(\.0+)?")


@dataclass(frozen=True, eq=False)
class Table:
    """`values` (months, parts), NaN where a part was not on sale."""

    months: tuple[str, ...]
    parts: tuple[str, ...]
    values: Figures


def read_table(lines: Iterable[str]) -> Table:
    """A heading (the month, then a part a column), and a line for each month; empty is not on sale."""
    import numpy as np

    rows = _rows(lines)
    _, heading = next(rows, (0, []))
    parts = _parts(heading[1:])
    months: list[str] = []
    values: list[list[float]] = []
    for number, row in rows:
        if len(row) != len(heading):
            raise PlanningError(f"Line {number} has {len(row)} cells, the heading {len(heading)}.")
        months.append(_month(row[0].strip(), months[-1] if months else None, number))
        values.append(
            [_pieces(cell.strip(), part, months[-1]) for cell, part in zip(row[1:], parts, strict=True)]
        )
    if not months:
        raise PlanningError("There is a heading and no month: give a line for each, such as 2026-01,3,0,1.")
    table = np.array(values)
    try:
        sales(table)
    except BadFigure as bad:
        raise PlanningError(f"{parts[bad.part]}, {months[bad.period]}: {bad.sentence}") from bad
    return Table(tuple(months), parts, table)


def read_cents(lines: Iterable[str], parts: Sequence[str]) -> Whole:
    """The price of a piece of each of `parts`, in cents, from lines of both; a heading may come first."""
    import numpy as np

    prices: dict[str, int] = {}
    for number, row in _rows(lines):
        if len(row) != 2:
            raise PlanningError(f"Prices, line {number}: a part and its price, not {len(row)} cells.")
        part, said = row[0].strip(), row[1].strip()
        try:
            price = Decimal(said)
        except InvalidOperation:
            price = Decimal("NaN")
        if not price.is_finite() and number == 1:
            continue
        if not price.is_finite() or not 0 <= price < 10**9:
            raise PlanningError(f"Prices, line {number}: {said!r} is no price; write one such as 12.50.")
        if part in prices:
            raise PlanningError(f"Prices, line {number}: {part} has a price already.")
        cents = price * 100
        if cents != int(cents):
            raise PlanningError(f"Prices, line {number}: {said} is no whole number of cents; round it.")
        prices[part] = int(cents)
    lacking = [part for part in parts if part not in prices]
    if lacking:
        more = f" and {len(lacking) - 1} more" if len(lacking) > 1 else ""
        raise PlanningError(
            f"Prices: there is none for {lacking[0]}{more}. Each part of the table needs one."
        )
    return np.array([prices[part] for part in parts], np.int64)


def _rows(lines: Iterable[str]) -> Iterator[tuple[int, list[str]]]:
    """With the number of its line. Empty lines are passed over."""
    reader = csv.reader(lines, strict=True)
    try:
        for row in reader:
            if any(cell.strip() for cell in row):
                yield reader.line_num, row
    except csv.Error as error:
        raise PlanningError(f"Line {reader.line_num} is no line of a CSV file: {error}.") from error


def _parts(cells: list[str]) -> tuple[str, ...]:
    parts = tuple(cell.strip() for cell in cells)
    if not parts:
        raise PlanningError(
            "The first line names the month and then a part in each column, separated by commas."
        )
    if "" in parts:
        raise PlanningError(f"Column {parts.index('') + 2} has no heading: name its part.")
    seen: set[str] = set()
    for part in parts:
        if part in seen:
            raise PlanningError(f"Two columns are headed {part}: add them up, or name them apart.")
        seen.add(part)
    return parts


def _month(said: str, before: str | None, line: int) -> str:
    found = _MONTH.fullmatch(said)
    if not found:
        raise PlanningError(f"Line {line}: {said!r} is no month; write 2026-01.")
    if before is not None:
        year, month = map(int, before.split("-"))
        due = f"{year + month // 12:04}-{month % 12 + 1:02}"
        if said != due:
            raise PlanningError(
                f"Line {line}: after {before} comes {due}, not {said}. Give a line for every month, in order."
            )
    return said


def _pieces(said: str, part: str, month: str) -> float:
    if not said:
        return float("nan")
    if not _PIECES.fullmatch(said):
        raise PlanningError(
            f"{part}, {month}: {said!r} is no number of pieces; write 0, 1, 2..., or nothing where it was "
            "not on sale. A month with more returns than sales has 0."
        )
    return float(said)
