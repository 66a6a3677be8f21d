"""The magnified part of a drawing: the band of the result between its limits, and the verdict."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from kits.fit import Band, Finding, Length, Verdict, Wanted
from kits.strokes import MUTED, WIDTH, Y, box, line, path, text, text_near, wrapped

LEFT, RIGHT = 28, WIDTH - 28
HEIGHT = 40


@dataclass(frozen=True)
class _Scale:
    """From units of 10 nm to pixels across."""

    lo: Fraction
    per_unit: Fraction

    def x(self, length: Length) -> float:
        return float(LEFT + (length.units - self.lo) * self.per_unit)


def gauge(finding: Finding, y: Y, stacks: Fraction, hatch: str) -> list[str]:
    """Limits, the result as a bar between its two ends, and the verdict by shape and word.

    `stacks` is the scale of the stacks above it, in pixels per unit, to say how much this is magnified;
    `hatch` fills where the result must not lie.
    """
    if finding.wanted is None:
        return _figures(finding, y) + _verdict(finding.verdict, y)
    scale = _scale(finding, finding.wanted)
    least, most = finding.wanted.at_least, finding.wanted.at_most
    drawn = [text(12, y.take(16), _heading(scale, stacks), MUTED)]
    if least is not None:
        drawn.append(text_near(scale.x(least), y.take(12), f"at least {least}"))
    top = y.take(HEIGHT + 4) - 4
    drawn += _forbidden(scale, least, most, top, hatch)
    drawn.append(line(LEFT - 20, top + HEIGHT, RIGHT + 20, top + HEIGHT, "ink thin"))
    drawn += _bar(scale, finding.result, top)
    if most is not None:
        drawn.append(text_near(scale.x(most), y.take(16) + 8, f"at most {most}"))
    result = "The result cannot be worked out yet" if finding.result is None else finding.result.format()
    drawn.append(text(12, y.take(20) + 12, f"Is {result}" if finding.result else result))
    return drawn + _verdict(finding.verdict, y)


def _figures(finding: Finding, y: Y) -> list[str]:
    """What was compared, line by line, where that is no length."""
    said = [f"{figure.name}: {figure.value}" for figure in finding.figures]
    return [text(12, y.take(15), row, "small") for words in said for row in wrapped(words, 54)]


def _scale(finding: Finding, wanted: Wanted) -> _Scale:
    """Room for the limits and the result, with a margin of a fifth on either side."""
    ends = [end for end in (wanted.at_least, wanted.at_most) if end is not None]
    if finding.result is not None:
        ends += [finding.result.lo, finding.result.hi]
    lo, hi = min(ends).units, max(ends).units
    room = Fraction(max(hi - lo, 1)) if hi > lo else Fraction(10_000)
    margin = room / 5
    return _Scale(lo - margin, Fraction(RIGHT - LEFT) / (room + 2 * margin))


def _heading(scale: _Scale, stacks: Fraction) -> str:
    times = int(scale.per_unit / stacks) if stacks else 0
    return f"The gap, drawn {times} times larger" if times >= 2 else "The gap"


def _forbidden(scale: _Scale, least: Length | None, most: Length | None, top: int, hatch: str) -> list[str]:
    """Hatched where the result must not lie, with a heavy line at each limit."""
    drawn = []
    if least is not None:
        x = scale.x(least)
        drawn.append(box(LEFT - 20, top, x - LEFT + 20, HEIGHT, "", hatch))
        drawn.append(line(x, top - 3, x, top + HEIGHT))
    if most is not None:
        x = scale.x(most)
        drawn += [
            box(x, top, RIGHT + 20 - x, HEIGHT, "", hatch),
            line(x, top, x, top + HEIGHT + 5),
        ]
    return drawn


def _bar(scale: _Scale, result: Band | None, top: int) -> list[str]:
    """The band: a solid bar with a foot at each end; a question mark where there is no result."""
    middle = top + HEIGHT / 2
    if result is None:
        return [
            line(LEFT, middle, RIGHT, middle, "unknown"),
            text((LEFT + RIGHT) / 2 - 4, middle - 4, "?", "word"),
        ]
    left, right = scale.x(result.lo), scale.x(result.hi)
    drawn = [box(left, middle - 5, max(right - left, 2), 10, "result")]
    return drawn + [line(x, middle - 12, x, middle + 12) for x in (left, right)]


# A round peg in a round hole, a corner taken off, a distance to be measured, a crossed box.
_SHAPES = {
    Verdict.GOES_TOGETHER: (
        ("M21 12a9 9 0 1 1-18 0a9 9 0 1 1 18 0Z", "ink"),
        ("M16 12a4 4 0 1 1-8 0a4 4 0 1 1 8 0Z", "result"),
    ),
    Verdict.GOES_WITH_WORK: (("M2 21 22 21 22 4Z", "ink"), ("M12 21 22 21 22 4 12 12.5Z", "result")),
    Verdict.MEASURE_FIRST: (
        ("M3 3V21M21 3V21", "unknown"),
        ("M4 12H20M8 8 4 12 8 16M16 8 20 12 16 16", "ink"),
    ),
    Verdict.DOES_NOT_GO: (("M3 3H21V21H3ZM3 3 21 21M21 3 3 21", "ink"),),
}


def _verdict(verdict: Verdict, y: Y) -> list[str]:
    top = y.take(34) + 6
    shapes = "".join(path(steps, kind) for steps, kind in _SHAPES[verdict])
    drawn = [f'<g transform="translate(12 {top})">{shapes}</g>']
    return drawn + [text(44, top + 17, row, "word") for row in wrapped(verdict.value, 40)]
