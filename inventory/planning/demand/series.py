"""From dated events to a table of demand: a row a part, a column a calendar month or ISO week."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import chain
from typing import TYPE_CHECKING, Generic

from inventory.planning.figures import plain_day
from inventory.planning.ordering import PlanningError

from .calendar import Calendar, Every, days_of_month
from .events import Event, P, Total, last_successors
from .laid_out import BACK, MISSED, ONE_OFF, OUT, STAND_IN, Pieces, lay_out

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
    calendar = Calendar(every)
    ends = last_successors(successors or {})
    parts = tuple(part for part in on_sale if part not in ends)
    rows = {part: row for row, part in enumerate(parts)}
    rows.update({part: rows[end] for part, end in ends.items() if end in rows})
    stop = calendar.number(plain_day(until, "The day that demand is known to"))
    pieces = _columns(
        chain(
            (_piece(_row(rows, event.part), calendar.number(event.day), event) for event in events),
            *(_spread(total, _row(rows, total.part), calendar) for total in totals),
        )
    )
    starts = _starts(on_sale, rows, calendar)
    first, values = lay_out([pieces], starts, stop, lost=lost, one_offs=one_offs, stand_ins=stand_ins)
    return Series(parts, tuple(calendar.first_day(number) for number in range(first, stop)), values)


# Row, number of the period, pieces, stream, mark.
Piece = tuple[int, int, int, int, int]


def _columns(pieces: Iterable[Piece]) -> Pieces:
    import numpy as np

    return Pieces(*np.array(list(pieces), np.int64).reshape(-1, 5).T)


def _piece(row: int, number: int, event: Event[P]) -> Piece:
    stream = {"lost": MISSED, "return": BACK}.get(event.kind, OUT)
    return row, number, event.quantity, stream, STAND_IN * event.stand_in + ONE_OFF * event.one_off


def _row(rows: Mapping[P, int], part: P) -> int:
    try:
        return rows[part]
    except KeyError:
        raise PlanningError(f"Demand of part {part!r}, which is not on sale: say since when it is.") from None


def _spread(total: Total[P], row: int, calendar: Calendar) -> Iterator[Piece]:
    """A month's pieces by period. Day by day as many as are due by then, so that none is lost by rounding."""
    first, days = days_of_month(total.month)
    if calendar.every == "month":
        yield row, calendar.number(first), total.quantity, OUT, 0
        return
    due = [total.quantity * day // days for day in range(days + 1)]
    for day in range(days):
        if due[day + 1] > due[day]:
            yield row, calendar.number(first + timedelta(day)), due[day + 1] - due[day], OUT, 0


def _starts(on_sale: Mapping[P, date], rows: Mapping[P, int], calendar: Calendar) -> NDArray[np.int64]:
    """For each row the period from which it is said to be on sale."""
    import numpy as np

    starts = [calendar.number(date.max)] * (max(rows.values(), default=-1) + 1)
    for part, day in on_sale.items():
        row = _row(rows, part)
        starts[row] = min(starts[row], calendar.number(plain_day(day, "The day a part came on sale")))
    return np.array(starts, np.int64)
