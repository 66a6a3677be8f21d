"""The table of demand from columns: a row a part, a column a period; returns netted within their marks."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Figures = NDArray[np.float64]
    Whole = NDArray[np.int64]

OUT, MISSED, BACK = 0, 1, 2
STAND_IN, ONE_OFF = 1, 2


@dataclass(frozen=True, eq=False)
class Pieces:
    """Columns of one length: the row, the number of the period, how many pieces, the stream and the mark.

    The stream is OUT, MISSED or BACK; the mark STAND_IN, ONE_OFF, their sum, or 0.
    """

    row: Whole
    number: Whole
    quantity: Whole
    stream: Whole
    mark: Whole

    def of(self, stream: int, mark: int) -> Pieces:
        """Those of one stream and mark."""
        chosen = (self.stream == stream) & (self.mark == mark)
        if chosen.all():
            return self
        columns = (self.row, self.number, self.quantity, self.stream, self.mark)
        return Pieces(*(column[chosen] for column in columns))


def lay_out(
    several: Sequence[Pieces], on_sale: Whole, stop: int, *, lost: bool, one_offs: bool, stand_ins: bool
) -> tuple[int, Figures]:
    """The number of the first period, and the values (rows, periods before `stop`) as `Series` has them.

    The pieces may come in several lots, which spares joining millions of them.
    `on_sale` is, row by row, the period from which the part is sold as far as anybody said; what was asked
    for shows that it was sooner.
    """
    import numpy as np

    starts = on_sale.copy()
    for pieces in several:
        asked = (pieces.stream != BACK) & (pieces.quantity > 0)
        np.minimum.at(starts, pieces.row[asked], pieces.number[asked])
    first = int(min(starts.min(initial=stop), stop))
    values = np.zeros((len(starts), stop - first))
    # Returns are netted within a mark, so that leaving one out never touches the others.
    for mark in range(4):
        if (one_offs or not mark & ONE_OFF) and (stand_ins or not mark & STAND_IN):
            _add_netted(values, [each.of(OUT, mark) for each in several], _back(several, mark), first)
            for pieces in several if lost else ():
                _add(values, pieces.of(MISSED, mark), first)
    values[np.arange(first, stop) < starts[:, None]] = np.nan
    return first, values


# Number of the period, row, pieces.
Back = tuple[int, int, int]


def _back(several: Sequence[Pieces], mark: int) -> list[Back]:
    """What came back, the earlier first: it has fewer periods to take from."""
    found: list[Back] = []
    for pieces in several:
        back = pieces.of(BACK, mark)
        found += zip(back.number.tolist(), back.row.tolist(), back.quantity.tolist(), strict=True)
    return sorted(found)


def _add_netted(values: Figures, out: Sequence[Pieces], back: Sequence[Back], first: int) -> None:
    """Add what went out less what came back of it."""
    import numpy as np

    netted = np.zeros_like(values) if back else values
    for pieces in out:
        _add(netted, pieces, first)
    for number, row, left in back:
        _take_off(netted[row], number - first, left)
    if back:
        values += netted


def _take_off(line: Figures, column: int, left: int) -> None:
    while left > 0 and 0 <= column < len(line):
        taken = min(left, int(line[column]))
        line[column] -= taken
        left -= taken
        column -= 1


def _add(values: Figures, pieces: Pieces, first: int) -> None:
    import numpy as np

    column = pieces.number - first
    inside = (column >= 0) & (column < values.shape[1])
    if inside.any():
        cells = pieces.row[inside] * values.shape[1] + column[inside]
        values += np.bincount(cells, pieces.quantity[inside], values.size).reshape(values.shape)
