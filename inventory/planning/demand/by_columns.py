"""The same table as `series`, from columns of whole numbers: for a hundred thousand parts at once."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

from inventory.planning.figures import plain_day
from inventory.planning.ordering import PlanningError

from .calendar import Calendar, Every
from .events import last_successors
from .laid_out import OUT, Pieces, lay_out
from .series import Series

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Whole = NDArray[np.int64]

# Python's day 1 is 1 January of year 1; NumPy's day 0 is 1 January 1970.
_EPOCH = date(1970, 1, 1).toordinal()


@dataclass(frozen=True, eq=False)
class EventColumns:
    """Dated events, columns of one length: part, ordinal of the day, pieces, stream and mark (`laid_out`)."""

    part: Whole
    day: Whole
    quantity: Whole
    stream: Whole
    mark: Whole


@dataclass(frozen=True, eq=False)
class TotalColumns:
    """Pieces of a part in a calendar month; `month` is the ordinal of a day in it."""

    part: Whole
    month: Whole
    quantity: Whole


@dataclass(frozen=True, eq=False)
class OnSale:
    """The parts, each once, and the ordinal of the day since when each is sold."""

    part: Whole
    day: Whole


def series_of_columns(
    events: EventColumns,
    totals: TotalColumns,
    on_sale: OnSale,
    until: date,
    *,
    every: Every = "month",
    successors: Mapping[int, int] | None = None,
    lost: bool = True,
    one_offs: bool = True,
    stand_ins: bool = True,
) -> Series[int]:
    """What `series` says of the same events and totals, rows in the order of `on_sale`."""
    calendar = Calendar(every)
    stop = calendar.number(plain_day(until, "The day that demand is known to"))
    rows = _Rows(on_sale.part, last_successors(successors or {}))
    one_by_one = Pieces(
        rows.of(events.part), numbers(events.day, every), events.quantity, events.stream, events.mark
    )
    pieces = [one_by_one, *_spread(rows.of(totals.part), totals, every)]
    starts = _starts(on_sale, rows, every, calendar.number(date.max))
    first, values = lay_out(pieces, starts, stop, lost=lost, one_offs=one_offs, stand_ins=stand_ins)
    return Series(rows.parts, tuple(calendar.first_day(number) for number in range(first, stop)), values)


def numbers(days: Whole, every: Every) -> Whole:
    """The periods that these days lie in, numbered as by `Calendar`."""
    if every == "week":
        return (days - 1) // 7
    return _as_days(days).astype("datetime64[M]").astype("int64") + 1970 * 12


def _as_days(ordinals: Whole) -> NDArray[np.datetime64]:
    return (ordinals - _EPOCH).astype("datetime64[D]")


class _Rows:
    """Which row a part's demand goes to: its own, or that of the last of its line."""

    def __init__(self, on_sale: Whole, ends: Mapping[int, int]) -> None:
        import numpy as np

        self.parts = tuple(part for part in on_sale.tolist() if part not in ends)
        row = {part: number for number, part in enumerate(self.parts)}
        row.update({part: row[end] for part, end in ends.items() if end in row})
        self._known = np.array(sorted(row), np.int64)
        self._row = np.array([row[part] for part in sorted(row)], np.int64)

    def of(self, parts: Whole) -> Whole:
        """Raises PlanningError for a part that has no row."""
        import numpy as np

        if not len(parts):
            return parts
        at = np.searchsorted(self._known, parts)
        strange = at == len(self._known)
        at[strange] = 0
        strange |= self._known[at] != parts if len(self._known) else True
        if strange.any():
            raise PlanningError(
                f"Demand of part {int(parts[strange][0])!r}, which is not on sale: say since when it is."
            )
        return self._row[at]


def _starts(on_sale: OnSale, rows: _Rows, every: Every, never: int) -> Whole:
    import numpy as np

    starts = np.full(len(rows.parts), never, np.int64)
    np.minimum.at(starts, rows.of(on_sale.part), numbers(on_sale.day, every))
    return starts


def _spread(row: Whole, totals: TotalColumns, every: Every) -> Iterator[Pieces]:
    """The months' pieces by period: by weeks as many as are due by the end of each, so that none is lost."""
    import numpy as np

    if every == "month":
        yield _went_out(row, numbers(totals.month, every), totals.quantity)
        return
    # Months are few, however many parts there are: their calendar is read once for each.
    months, at = np.unique(totals.month, return_inverse=True)
    starts = _as_days(months).astype("datetime64[M]")
    first = starts.astype("datetime64[D]").astype(np.int64) + _EPOCH
    after = (starts + 1).astype("datetime64[D]").astype(np.int64) + _EPOCH
    days = (after - first)[at]
    for week in range(6):  # No month touches more.
        number = (first - 1) // 7 + week
        begins = np.clip(number * 7 + 1, first, after) - first
        ends = np.clip(number * 7 + 8, first, after) - first
        pieces = totals.quantity * ends[at] // days - totals.quantity * begins[at] // days
        some = pieces > 0
        yield _went_out(row[some], number[at][some], pieces[some])


def _went_out(row: Whole, number: Whole, quantity: Whole) -> Pieces:
    import numpy as np

    return Pieces(row, number, quantity, np.full_like(row, OUT), np.zeros_like(row))
