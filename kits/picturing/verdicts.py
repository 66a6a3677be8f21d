"""The verdict at the foot of a drawing: a shape of its own, its words, and a colour in addition."""

from __future__ import annotations

from kits.fit import Verdict
from kits.picturing.strokes import EDGE, WIDTH, Y, line, number, path, text
from kits.picturing.style import verdict_class

# A round peg in a round hole, a corner taken off, a distance to be measured, a crossed box.
_SHAPES = {
    Verdict.GOES_TOGETHER: (
        ("M21 12a9 9 0 1 1-18 0a9 9 0 1 1 18 0Z", "ink"),
        ("M16 12a4 4 0 1 1-8 0a4 4 0 1 1 8 0Z", "solid"),
    ),
    Verdict.GOES_WITH_WORK: (("M2 21 22 21 22 4Z", "ink"), ("M12 21 22 21 22 4 12 12.5Z", "solid")),
    Verdict.MEASURE_FIRST: (
        ("M3 3V21M21 3V21", "ink heavy"),
        ("M4 12H20M8 8 4 12 8 16M16 8 20 12 16 16", "ink"),
    ),
    Verdict.DOES_NOT_GO: (("M3 3H21V21H3ZM3 3 21 21M21 3 3 21", "ink"),),
}


def foot(verdict: Verdict, y: Y) -> list[str]:
    """A rule, the shape and the words."""
    y.take(6)
    top = y.take(36) + 6
    shapes = "".join(path(steps, kind) for steps, kind in _SHAPES[verdict])
    words = text(EDGE + 32, top + 17, verdict.value, "word")
    return [
        line(EDGE, top - 4, WIDTH - EDGE, top - 4, "ink"),
        f'<g class="{verdict_class(verdict)}"><g transform="translate({EDGE} {number(top)})">{shapes}</g>'
        f"{words}</g>",
    ]
