"""A finding that is no length: what was compared, ruled line by line; demand against supply as bars."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from kits.fit import Amount, Figure, Finding, Term
from kits.picturing.marks import RADIUS, Mark, balloon
from kits.picturing.strokes import EDGE, WIDTH, Y, box, line, room, text, wrapped
from kits.picturing.style import hatch

_BAR = 22
_BARS_LEFT = EDGE + 60


def table(finding: Finding, marks: Sequence[Mark], y: Y) -> list[str]:
    """The figures with a rule under each, and the balloon of the part that a figure is of."""
    by_label = {term.measured.label: mark for term, mark in zip(finding.terms, marks, strict=True)}
    drawn = [line(EDGE, y.take(2), WIDTH - EDGE, y.at - 2, "ink")]
    for figure in finding.figures:
        mark = next((m for label, m in by_label.items() if figure.name.endswith(label)), None)
        drawn += _row(figure, mark, y)
    return drawn


def unlisted(finding: Finding) -> list[int]:
    """The terms, by their place, that no figure tells of."""
    names = [figure.name for figure in finding.figures]
    return [
        index
        for index, term in enumerate(finding.terms)
        if not any(name.endswith(term.measured.label) for name in names)
    ]


def _row(figure: Figure, mark: Mark | None, y: Y) -> list[str]:
    left = EDGE + 36
    width = WIDTH - EDGE - left
    base = y.take(4) + 15
    drawn = balloon(EDGE + RADIUS, base - 4, mark) if mark else []
    abreast = room(figure.name) + room(figure.value) + 3 <= width
    rows = [figure.name] if abreast else wrapped(figure.name, width)
    drawn += [text(left, y.take(14) + 11, row) for row in rows]
    if abreast:
        drawn.append(text(WIDTH - EDGE, base, figure.value, "small", "end"))
    else:
        rows = wrapped(figure.value, width)
        drawn += [text(WIDTH - EDGE, y.take(14) + 11, row, "small", "end") for row in rows]
    y.take(max(0.0, base + 6 - y.at))  # A balloon is taller than one row.
    return [*drawn, line(EDGE, y.take(2) + 1, WIDTH - EDGE, y.at - 1, "ink thin")]


def bars(finding: Finding, marks: Sequence[Mark], y: Y, tag: str) -> list[str]:
    """What there is over what is asked for, each end to end on one scale, where all are ratings.

    What varies counts as the verdict counts it: supplies at their least, demands at their most.
    """
    pairs = list(zip(finding.terms, marks, strict=True))
    if {term.sign for term, _ in pairs} != {1, -1} or not all(_is_rating(term) for term, _ in pairs):
        return []
    supply = [(_worst(term), mark) for term, mark in pairs if term.sign > 0]
    demand = [(_worst(term), mark) for term, mark in pairs if term.sign < 0]
    longest = max(sum(size for size, _ in row) for row in (supply, demand)) or 1.0
    scale = (WIDTH - EDGE - _BARS_LEFT) / longest
    return [
        *_row_of_bars("there is", supply, scale, y, hatch("rise", tag)),
        *_row_of_bars("asked for", demand, scale, y, hatch("fall", tag)),
    ]


def _is_rating(term: Term) -> bool:
    return isinstance(term.measured.value, Amount) and term.measured.value.unit != ""


def _worst(term: Term) -> float:
    value = term.measured.value
    assert isinstance(value, Amount)
    return max(float((value.lo if term.sign > 0 else value.hi) * Decimal(float(term.factor))), 0.0)


def _row_of_bars(words: str, row: Sequence[tuple[float, Mark]], scale: float, y: Y, fill: str) -> list[str]:
    top, x = y.take(_BAR + 8) + 4, float(_BARS_LEFT)
    drawn = [text(EDGE, top + 14, words)]
    for size, mark in row:
        drawn.append(box(x, top, max(size * scale, 1), _BAR, "part", fill))
        if size * scale > 2 * RADIUS + 6:
            drawn += balloon(x + size * scale / 2, top + _BAR / 2, mark)
        x += size * scale
    return drawn
