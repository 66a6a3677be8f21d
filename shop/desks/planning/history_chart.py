"""Past demand as columns, and what is expected after it as boxes, in one drawing to one scale."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta
from typing import NamedTuple

from inventory.planning.demand import Calendar
from kits.picturing.strokes import EDGE, WIDTH, box, line, number, path, ring, text
from shop.desks.charts import RING, WIDE, Days, Frame, Scale, drawing, key_of, pattern

from .sorts import Column, Every, Sort

_GAP = 0.16  # of a column's room stays empty
_MARK = 3.2
_NARROWEST = 3.0  # units of a column; what finds no room is the oldest, and in the table
_DOTTED = 6.0  # units of a box that has its mean in it


class Expected(NamedTuple):
    """What a month or week is expected to ask for. Of 100 such, 10 have less than `p10`, and so on."""

    start: date
    mean: float
    p10: float
    p25: float
    p50: float
    p75: float
    p90: float

    @property
    def levels(self) -> tuple[float, float, float, float, float]:
        return self.p10, self.p25, self.p50, self.p75, self.p90


def draw_history(
    columns: Sequence[Column], fan: Sequence[Expected], every: Every, *, tag: str, width: int = WIDE
) -> str:
    """The drawing as an SVG element without a fixed width. Give at least one column or one expectation."""
    frame = Frame(width, height=170 if width > WIDTH else 140)
    columns = columns[-max(12, int((width - 60) / _NARROWEST) - len(fan)) :]
    starts = sorted({*(one.start for one in columns), *(one.start for one in fan)})
    most = max([1.0, *(float(one.out) for one in columns), *(one.p90 for one in fan)])
    up, values = frame.up(-float(max([0, *(one.back for one in columns)])), most, least=1)
    labels = [(value, f"{abs(value):.0f}") for value in values]
    frame = frame.beside(labels)
    rooms = _Rooms(starts, every, frame)
    parts = [text(EDGE, 12, f"Pieces a {every}"), *frame.rulings(up, labels)]
    for one in fan:
        parts += _box_of(one, rooms, up)
    for column in columns:
        parts += _column(column, rooms, up, tag)
    parts += frame.calendar(rooms.days)
    if fan:
        parts += frame.named(rooms.left(fan[0].start), "expected from here")
    key, end = key_of(_key(columns, fan), frame.foot + 26, width, tag)
    return drawing(tag, f"Demand by {every}", described(columns, fan, every), (width, end + 2), parts + key)


def described(columns: Sequence[Column], fan: Sequence[Expected], every: Every) -> str:
    """What the drawing shows, in words; all its figures are in the table."""
    said = []
    if columns:
        out, back = sum(one.out for one in columns), sum(one.back for one in columns)
        most = max(columns, key=lambda one: one.out)
        said.append(
            f"From {columns[0].start} on {out} pieces were asked for and {back} came back; the most, "
            f"{most.out}, in the {every} of {most.start}"
        )
    if fan:
        said.append(
            f"from {fan[0].start} on about {fan[0].mean:.1f} a {every} are expected, in 8 of 10 cases "
            f"between {fan[0].p10:.0f} and {fan[0].p90:.0f}"
        )
    return "; ".join(said) + "."


class _Rooms:
    """Where each month or week stands: all of them have the same width."""

    def __init__(self, starts: Sequence[date], every: Every, frame: Frame) -> None:
        calendar = Calendar(every)
        self._number = calendar.number
        self._first, last = calendar.number(starts[0]), calendar.number(starts[-1]) + 1
        self._frame = frame
        self.width = (frame.right - frame.left) / (last - self._first)
        self.days = Days(starts[0], calendar.first_day(last) - timedelta(1), frame.left, frame.right)

    def left(self, start: date) -> float:
        return self._frame.left + (self._number(start) - self._first) * self.width


def _column(column: Column, rooms: _Rooms, up: Scale, tag: str) -> list[str]:
    """The sorts of one column, upwards from 0; below it what came back."""
    gap = rooms.width * _GAP
    x, wide = rooms.left(column.start) + gap / 2, rooms.width - gap
    drawn, foot = [], 0
    for sort in Sort:
        quantity = column.pieces.get(sort, 0)
        if not quantity:
            continue
        low, high = (-quantity, 0) if sort is Sort.RETURN else (foot, foot + quantity)
        foot = foot if sort is Sort.RETURN else high
        fill = sort.fill and pattern(sort.fill, tag)
        drawn.append(box(x, up.at(high), wide, up.at(low) - up.at(high), sort.look, fill))
    if column.pieces.get(Sort.ONE_OFF):
        drawn.append(_diamond(x + wide / 2, up.at(column.out)))
    if column.counted is not None and column.counted != column.out:
        drawn.append(ring(x + wide / 2, up.at(column.counted), 2.4, "plain"))
    return drawn


def _diamond(x: float, y: float) -> str:
    """Stands on the column; inside the frame, even on the highest."""
    half = _MARK
    return path(f"M{number(x)} {number(y)}l{-half} {-half}l{half} {-half}l{half} {half}Z", "solid")


def _box_of(one: Expected, rooms: _Rooms, up: Scale) -> list[str]:
    """Where 8 of 10 lie, darker where half lie, and the middle one."""
    x, wide = rooms.left(one.start), rooms.width
    drawn = [
        box(x, up.at(one.p90), wide, up.at(one.p10) - up.at(one.p90), "faint"),
        box(x, up.at(one.p75), wide, up.at(one.p25) - up.at(one.p75), "tint"),
        line(x, up.at(one.p90), x + wide, up.at(one.p90), "dashed"),
        line(x, up.at(one.p10), x + wide, up.at(one.p10), "dashed"),
        line(x, up.at(one.p50), x + wide, up.at(one.p50), "ink heavy"),
    ]
    if wide > _DOTTED:
        drawn.append(ring(x + wide / 2, up.at(one.mean), 1.6, "solid"))
    return drawn


def _key(columns: Sequence[Column], fan: Sequence[Expected]) -> list[tuple[str, str, str]]:
    """Only what is there to see."""
    there = {sort for column in columns for sort, quantity in column.pieces.items() if quantity}
    entries = [(sort.look, sort.fill, sort.words) for sort in Sort if sort in there]
    if any(one.counted is not None and one.counted != one.out for one in columns):
        entries.append((RING, "", "what counts, returns netted"))
    if fan:
        entries += [
            ("faint", "", "8 of 10 lie here"),
            ("tint", "", "half lie here"),
            ("ink heavy", "", "the middle one; a dot is the mean"),
        ]
    return entries
