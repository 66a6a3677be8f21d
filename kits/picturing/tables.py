"""A finding that is no length: what was compared, ruled line by line; demand against supply as bars."""

from __future__ import annotations

import re
from collections.abc import Sequence
from decimal import Decimal

from kits.fit import Amount, Finding, Term
from kits.picturing.marks import RADIUS, Mark, balloon, named
from kits.picturing.strokes import EDGE, WIDTH, Y, box, line, room, text, wrapped
from kits.picturing.style import hatch
from kits.picturing.words import minus, size_of

_BAR = 22
_BARS_LEFT = EDGE + 60


def table(finding: Finding, marks: Sequence[Mark], y: Y) -> list[str]:
    """The figures with a rule under each, and the balloon of the part that a figure is of."""
    terms = list(zip(finding.terms, marks, strict=True))
    drawn = [line(EDGE, y.take(2), WIDTH - EDGE, y.at - 2, "ink")]
    for figure in finding.figures:
        name, value, mark = figure.name, _figure(figure.value), None
        for term, its in terms:
            if figure.name.endswith(term.measured.label):
                name, mark = figure.name.replace(term.measured.label, named(term, its)), its
                value = value if term.measured.value is not None else size_of(term, finding)
        drawn += _row(name, value, mark, y)
    return drawn


def _figure(value: str) -> str:
    """With the typographic minus, where it is a number below zero; a designation stays as it is."""
    return minus(value) if re.match(r"-[0-9]", value) else value


def unlisted(finding: Finding) -> list[int]:
    """The terms, by their place, that no figure tells of."""
    names = [figure.name for figure in finding.figures]
    return [
        index
        for index, term in enumerate(finding.terms)
        if not any(name.endswith(term.measured.label) for name in names)
    ]


def _row(name: str, value: str, mark: Mark | None, y: Y) -> list[str]:
    left = EDGE + 36
    width = WIDTH - EDGE - left
    base = y.take(4) + 15
    drawn = balloon(EDGE + RADIUS, base - 4, mark) if mark else []
    abreast = room(name) + room(value) + 3 <= width
    rows = [name] if abreast else wrapped(name, width)
    drawn += [text(left, y.take(14) + 11, row) for row in rows]
    if abreast:
        drawn.append(text(WIDTH - EDGE, base, value, "small", "end"))
    else:
        rows = [row for part in value.split(", ") for row in wrapped(part, width)]
        drawn += [text(WIDTH - EDGE, y.take(14) + 11, row, "small", "end") for row in rows]
    y.take(max(0.0, base + 6 - y.at))  # A balloon is taller than one row.
    return [*drawn, line(EDGE, y.take(2) + 1, WIDTH - EDGE, y.at - 1, "ink thin")]


def bars(finding: Finding, marks: Sequence[Mark], y: Y, tag: str) -> list[str]:
    """What there is over what is asked for, each end to end on one scale, where all are ratings.

    What varies counts as the verdict counts it: supplies at their least, demands at their most. A
    reserve that the check wants stands dashed at the end of the demand.
    """
    pairs = list(zip(finding.terms, marks, strict=True))
    if {term.sign for term, _ in pairs} != {1, -1} or not all(_is_rating(term) for term, _ in pairs):
        return []
    supply = [(_worst(term), mark) for term, mark in pairs if term.sign > 0]
    demand = [(_worst(term), mark) for term, mark in pairs if term.sign < 0]
    asked = sum(size for size, _ in demand)
    reserve = asked * _reserve(finding)
    scale = (WIDTH - EDGE - _BARS_LEFT) / (max(sum(size for size, _ in supply), asked + reserve) or 1.0)
    dashed = box(_BARS_LEFT + asked * scale, y.at + _BAR + 12, reserve * scale, _BAR, "unknown")
    return [
        *([dashed] if reserve else []),
        *_row_of_bars("there is", supply, scale, y, hatch("rise", tag)),
        *_row_of_bars("asked for", demand, scale, y, hatch("fall", tag)),
    ]


def _reserve(finding: Finding) -> float:
    """The reserve that the check wants, as a share of the demand."""
    given = finding.question.given if finding.question else {}
    return float(given.get("reserve") or 0) / 100


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
