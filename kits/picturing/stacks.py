"""A chain in section along its axis: what adds above the axis, what takes below it, to scale.

Both stacks start at one face on the left, so where they end on the right lies the result: a gap where
the upper one is longer, an overlap where the lower one is.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from kits.fit import Finding, Term
from kits.picturing.marks import RADIUS, Mark, balloon, balloon_width, marked, named
from kits.picturing.strokes import EDGE, WIDTH, Y, across, box, dot, line, path, ring, room, text, wrapped
from kits.picturing.style import HATCHES, hatch

LEFT, RIGHT = EDGE + 8, WIDTH - EDGE - 16
HEIGHT, BETWEEN = 36, 5
UNKNOWN_ROOM = 44.0
THIN = 1.6  # A part thinner than this is drawn as a line this heavy.
_DETAIL = 26  # A result narrower than this on the drawing is circled and drawn again below.
_MOST_ABREAST = 14


@dataclass(frozen=True)
class Bar:
    """One part in its stack, in units of the drawing."""

    term: Term
    mark: Mark
    x: float
    width: float

    @property
    def middle(self) -> float:
        return self.x + self.width / 2


@dataclass(frozen=True)
class Section:
    """Both stacks; `scale` is units of the drawing per 10 nm, `ends` where each stack ends."""

    upper: list[Bar]
    lower: list[Bar]
    scale: float

    @property
    def ends(self) -> tuple[float, float]:
        upper, lower = (row[-1].x + row[-1].width if row else LEFT for row in (self.upper, self.lower))
        return upper, lower

    @property
    def is_circled(self) -> bool:
        """Whether the result is too narrow here to be read."""
        return abs(self.ends[0] - self.ends[1]) < _DETAIL


def section_of(finding: Finding, marks: Sequence[Mark] | None = None) -> Section:
    """Every part at the middle of its band. A size below zero lies in the other stack, as it counts."""
    pairs = list(zip(finding.terms, marks or marked(finding, {}), strict=True))
    rows = [[pair for pair in pairs if _adds(pair[0]) is adds] for adds in (True, False)]
    unknown = max(sum(term.measured.band is None for term, _ in row) for row in rows)
    unknown_room = min(UNKNOWN_ROOM, (RIGHT - LEFT) * 0.7 / max(unknown, 1))
    scale = min(_fits(row, unknown_room) for row in rows)
    upper, lower = (_bars(row, scale, unknown_room) for row in rows)
    return Section(upper, lower, scale)


def _adds(term: Term) -> bool:
    return (term.sign > 0) is (_size(term) >= 0)


def _size(term: Term) -> float:
    band = term.measured.band
    return 0.0 if band is None else float(band.middle * term.factor)


def _fits(row: list[tuple[Term, Mark]], unknown_room: float) -> float:
    """The largest scale at which a stack fits."""
    length = sum(abs(_size(term)) for term, _ in row)
    free = RIGHT - LEFT - unknown_room * sum(term.measured.band is None for term, _ in row)
    return free / max(length, 1.0)


def _bars(row: list[tuple[Term, Mark]], scale: float, unknown_room: float) -> list[Bar]:
    bars, x = [], float(LEFT)
    for term, mark in row:
        width = unknown_room if term.measured.band is None else abs(_size(term)) * scale
        bars.append(Bar(term, mark, x, width))
        x += width
    return bars


def draw_section(section: Section, finding: Finding, y: Y, tag: str) -> list[str]:
    """Balloons, upper stack, axis, lower stack, balloons, and the result between the ends."""
    upper_at = y.take(_balloon_room(section.upper)) + RADIUS + 1
    top = y.take(HEIGHT + BETWEEN)
    bottom = y.take(HEIGHT)
    lower_at = bottom + HEIGHT + _balloon_room(section.lower) - RADIUS - 1
    y.take(_balloon_room(section.lower) + 6)
    axis = top + HEIGHT + BETWEEN / 2
    drawn = [line(EDGE - 6, axis, WIDTH - EDGE + 6, axis, "axis"), *_face(top, bottom + HEIGHT)]
    for row, at, first in ((section.upper, top, 0), (section.lower, bottom, 1)):
        for index, bar in enumerate(row):
            drawn += _part(bar, at, hatch(HATCHES[(index + first) % len(HATCHES)], tag))
    drawn += _balloons(section.upper, upper_at, top + 7, 1)
    drawn += _balloons(section.lower, lower_at, bottom + HEIGHT - 7, -1)
    return drawn + _result(section, finding, top, bottom + HEIGHT)


def _face(top: float, bottom: float) -> list[str]:
    """The face that both stacks start from, with the strokes of something solid behind it."""
    strokes = "".join(f"M{LEFT} {at:.0f}l-5 5" for at in range(int(top), int(bottom) - 3, 8))
    return [line(LEFT, top - 3, LEFT, bottom + 3, "ink heavy"), path(strokes, "ink thin")]


def _part(bar: Bar, top: float, fill: str) -> list[str]:
    """A part cut through; dashed where its size is unknown; a solid line where it is too thin."""
    if bar.term.measured.band is None:
        sign = text(bar.middle, top + HEIGHT / 2 + 5, "?", "word", "middle")
        return [box(bar.x, top, bar.width, HEIGHT, "unknown"), sign]
    if bar.width < THIN:
        return [box(bar.middle - THIN / 2, top, THIN, HEIGHT, "solid")]
    return [box(bar.x, top, bar.width, HEIGHT, "part", fill), *_name_inside(bar, top)]


def _name_inside(bar: Bar, top: float) -> list[str]:
    """The short name on two rows at most, on paper, where there is room beside the leader."""
    width = bar.width - 8
    rows = next((r for r in (wrapped(bar.mark.name, width, "tiny"), []) if r), [])
    if not rows or len(rows) > 2 or any(room(row, "tiny") > width for row in rows):
        return []
    if sorted(" ".join(rows).split()) != sorted(bar.mark.name.split()):
        return []  # A word had to be broken.
    start = top + HEIGHT / 2 + (4 if len(rows) == 1 else -2)
    drawn = []
    for index, row in enumerate(rows):
        half = room(row, "tiny") / 2 + 2
        drawn.append(box(bar.middle - half, start + 12 * index - 9.5, 2 * half, 12, "paper"))
        drawn.append(text(bar.middle, start + 12 * index, row, "tiny", "middle"))
    return drawn


def _balloon_room(row: list[Bar]) -> float:
    return _levels(row) * (2 * RADIUS + 3) + 10 if row else 6


def _levels(row: list[Bar]) -> int:
    """How many rows of balloons it takes to keep them apart."""
    return -(-len(row) // _MOST_ABREAST)


def _balloons(row: list[Bar], at: float, into: float, away: int) -> list[str]:
    """A balloon for every part, as near as they can stand; `away` is +1 where they stand above."""
    if not row:
        return []
    drawn, levels = [], _levels(row)
    for level in range(levels):
        bars = row[level::levels]
        y = at + away * level * (2 * RADIUS + 3)
        for bar, x in zip(bars, _spread(bars), strict=True):
            drawn += balloon(x, y, bar.mark, (bar.middle, into))
            if bar.width >= THIN:
                drawn.append(dot(bar.middle, into))
    return drawn


def _spread(bars: list[Bar]) -> list[float]:
    """Where the balloons stand: above their parts, moved aside until none covers another."""
    widths = [balloon_width(bar.mark) + 3 for bar in bars]
    squeeze = min(1.0, (WIDTH - 4) / sum(widths))
    widths = [width * squeeze for width in widths]
    at: list[float] = []
    free = 2.0
    for bar, width in zip(bars, widths, strict=True):
        at.append(max(bar.middle, free + width / 2))
        free = at[-1] + width / 2
    free = WIDTH - 2.0
    for index in range(len(at) - 1, -1, -1):
        at[index] = min(at[index], free - widths[index] / 2)
        free = at[index] - widths[index] / 2
    return at


def _result(section: Section, finding: Finding, top: float, bottom: float) -> list[str]:
    """The result between the ends: circled as detail A, or with its dimension where there is room."""
    if finding.result is None:
        return []
    left, right = sorted(section.ends)
    axis, is_gap = (top + bottom) / 2, section.ends[0] > section.ends[1]
    at = axis + (1 if is_gap else -1) * (BETWEEN / 2 + HEIGHT / 2)  # Beside the shorter stack.
    drawn = [line(x, top - 3, x, bottom + 3, "ink thin") for x in (left, right)]
    if section.is_circled:
        radius = max(9.0, (right - left) / 2 + 5)
        middle = min((left + right) / 2, WIDTH - radius - 1)
        return [*drawn, ring(middle, axis, radius, "ink"), *_letter(middle + radius * 0.7, axis - radius)]
    drawn += across(left, right, at)
    return [*drawn, *_letter((left + right) / 2, at - 2)]


def _letter(x: float, base: float) -> list[str]:
    """The letter of the detail, on paper."""
    x = min(x, WIDTH - 8)
    return [box(x - 5.5, base - 11, 11, 12, "paper"), text(x, base - 1, "A", "", "middle")]


def legend(
    finding: Finding, marks: Sequence[Mark], y: Y, sizes: Sequence[str], signs: bool = True
) -> list[str]:
    """Every term: its balloon, its sign if it has one, what it is, and its size on the right."""
    drawn = []
    for term, mark, size in zip(finding.terms, marks, sizes, strict=True):
        sign = "+" if term.sign > 0 else "\N{MINUS SIGN}"
        name, left = named(term, mark), EDGE + 36
        size_rows = [r for part in size.split(", ") for r in wrapped(part, WIDTH - EDGE - left)]
        abreast = len(size_rows) == 1 and room(name) + room(size) + 3 <= WIDTH - EDGE - left
        rows = [name] if abreast else wrapped(name, WIDTH - EDGE - left)
        base = y.take(4) + 15
        drawn += balloon(EDGE + RADIUS, base - 4, mark)
        drawn += [text(EDGE + 26, base, sign, "", "middle")] if signs else []
        for row in rows:
            drawn.append(text(left, y.take(14) + 11, row))
        if abreast:
            drawn.append(text(WIDTH - EDGE, base, size, "small", "end"))
        else:
            drawn += [text(WIDTH - EDGE, y.take(14) + 11, row, "small", "end") for row in size_rows]
        y.take(max(3.0, base + 7 - y.at))  # A balloon is taller than one row.
        drawn.append(line(EDGE, y.at, WIDTH - EDGE, y.at, "ink thin"))
    return drawn
