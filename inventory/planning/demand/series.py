"""From dated events to a table of demand: a row a part, a column a calendar month or ISO week."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING, Generic, NamedTuple

from inventory.planning.figures import plain_day
from inventory.planning.ordering import PlanningError

from .calendar import Calendar, Every, days_of_month
from .events import Event, P, Total, last_successors

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Figures = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Series(Generic[P]):
    """`values` (parts, periods) in pieces, whole ones, NaN before a part was on sale.

    `periods` are the days that the columns begin on. Superseded parts have no row: theirs is in that of
    the last of their line.
    """

    parts: tuple[P, ...]
    periods: tuple[date, ...]
    values: Figures


def series(
    events: Iterable[Event[P]],
    on_sale: Mapping[P, date],
    until: date,
    *,
    every: Every = "month",
    totals: Iterable[Total[P]] = (),
    successors: Mapping[P, P] | None = None,
    lost: bool = True,
    one_offs: bool = True,
    stand_ins: bool = True,
) -> Series[P]:
    """The demand of the parts of `on_sale`, in its order, in each whole period before the day `until`.

    `on_sale` says since when a part is sold; earlier events or totals show that it was sooner. The period
    it came in counts, though it may be short. Events on or after the first day of the period that `until`
    lies in are left for later. `totals` are what was sold in months before the events begin; by weeks they
    are spread evenly over the days of the month, in whole pieces.

    A return lessens the latest period, up to its own, that has something left: what came back was no demand
    then; more returns than sales leave 0. Asked for and not had counts unless `lost` is False, and no return
    touches it. One-off orders and stand-ins are left out on request, with their returns; the table keeps its
    shape, so that what a part sold as a stand-in is the table with less the table without.

    Raises PlanningError for a part that is neither on sale nor superseded by one that is.
    """
    import numpy as np

    calendar = Calendar(every)
    ends = last_successors(successors or {})
    parts = tuple(part for part in on_sale if part not in ends)
    rows = {part: row for row, part in enumerate(parts)}
    rows.update({part: rows[end] for part, end in ends.items() if end in rows})
    stop = calendar.number(plain_day(until, "The day that demand is known to"))
    known = _Streams()
    for event in events:
        known.take(_row(rows, event.part), calendar.number(event.day), event)
    for total in totals:
        known.out[Mark(False, False)].extend(_laid_out(total, _row(rows, total.part), calendar))
    starts = _starts(on_sale, rows, calendar, known)
    first = min((start for start in starts if start < stop), default=stop)
    values = np.zeros((len(parts), stop - first))
    for mark in known.marks():
        if (one_offs or not mark.one_off) and (stand_ins or not mark.stand_in):
            _add_netted(values, known.out[mark], known.back[mark], first)
            _add(values, known.missed[mark] if lost else [], first)
    for row, start in enumerate(starts):
        values[row, : max(0, start - first)] = np.nan
    return Series(parts, tuple(calendar.first_day(number) for number in range(first, stop)), values)


class Mark(NamedTuple):
    """Returns are netted within a mark, so that leaving one out never touches the others."""

    stand_in: bool
    one_off: bool


# Row, number of the period, pieces.
Piece = tuple[int, int, int]


class _Streams:
    """What went out, what was missed and what came back, each by mark."""

    def __init__(self) -> None:
        self.out: dict[Mark, list[Piece]] = defaultdict(list)
        self.missed: dict[Mark, list[Piece]] = defaultdict(list)
        self.back: dict[Mark, list[Piece]] = defaultdict(list)

    def take(self, row: int, number: int, event: Event[P]) -> None:
        stream = {"lost": self.missed, "return": self.back}.get(event.kind, self.out)
        stream[Mark(event.stand_in, event.one_off)].append((row, number, event.quantity))

    def marks(self) -> set[Mark]:
        return {*self.out, *self.missed}

    def asked(self) -> Iterator[Piece]:
        """All that shows that a part was on sale."""
        for stream in (self.out, self.missed):
            for pieces in stream.values():
                yield from pieces


def _row(rows: Mapping[P, int], part: P) -> int:
    try:
        return rows[part]
    except KeyError:
        raise PlanningError(f"Demand of part {part!r}, which is not on sale: say since when it is.") from None


def _laid_out(total: Total[P], row: int, calendar: Calendar) -> list[Piece]:
    """A month's pieces by period. Day by day as many as are due by then, so that none is lost by rounding."""
    first, days = days_of_month(total.month)
    if calendar.every == "month":
        return [(row, calendar.number(first), total.quantity)]
    due = [total.quantity * day // days for day in range(days + 1)]
    return [
        (row, calendar.number(first + timedelta(day)), due[day + 1] - due[day])
        for day in range(days)
        if due[day + 1] > due[day]
    ]


def _starts(
    on_sale: Mapping[P, date], rows: Mapping[P, int], calendar: Calendar, known: _Streams
) -> list[int]:
    """For each row the period from which it was on sale."""
    starts = [calendar.number(date.max)] * (max(rows.values(), default=-1) + 1)
    for part, day in on_sale.items():
        row = _row(rows, part)
        starts[row] = min(starts[row], calendar.number(plain_day(day, "The day a part came on sale")))
    for row, number, quantity in known.asked():
        if quantity:
            starts[row] = min(starts[row], number)
    return starts


def _add_netted(values: Figures, out: list[Piece], back: list[Piece], first: int) -> None:
    """Add what went out less what came back of it."""
    import numpy as np

    netted = np.zeros_like(values)
    _add(netted, out, first)
    # The earlier return takes first: it has fewer periods to take from.
    for row, number, quantity in sorted(back, key=lambda piece: piece[1]):
        column, left = number - first, quantity
        while left > 0 and 0 <= column < values.shape[1]:
            taken = min(left, int(netted[row, column]))
            netted[row, column] -= taken
            left -= taken
            column -= 1
    values += netted


def _add(values: Figures, pieces: list[Piece], first: int) -> None:
    import numpy as np

    if pieces:
        row, number, quantity = np.array(pieces, np.int64).T
        inside = number - first < values.shape[1]
        np.add.at(values, (row[inside], number[inside] - first), quantity[inside].astype(np.float64))
