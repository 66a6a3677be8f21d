"""The magnified part of a drawing: the band of the result between its limits."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from kits.fit import Band, Chain, Finding, Length, Link, Wanted
from kits.picturing.strokes import EDGE, WIDTH, Y, across, box, inward, line, room, text, text_at, wrapped
from kits.picturing.style import hatch, verdict_class
from kits.picturing.words import minus, spare

LEFT, RIGHT = EDGE + 16, WIDTH - EDGE - 16
HEIGHT = 44
_BAR = 12


@dataclass(frozen=True)
class _Scale:
    """From units of 10 nm to units of the drawing."""

    lo: Fraction
    per_unit: Fraction

    def x(self, length: Length) -> float:
        return float(LEFT + (length.units - self.lo) * self.per_unit)


def gauge(finding: Finding, wanted: Wanted, y: Y, tag: str, heading: str, drawn_at: float = 0) -> list[str]:
    """Limits, the result as a bar between its two ends, its figures, and what it has to spare.

    `drawn_at` is the scale of what stands above, in units of the drawing per 10 nm, to say how much
    this is magnified.
    """
    worked = after_work(finding)
    scale = _scale([finding.result, worked], wanted)
    times = _times(scale, drawn_at) if finding.result else ""
    drawn = [text(EDGE, y.take(14) + 11, row) for row in wrapped(f"{heading}{times}", WIDTH - 2 * EDGE)]
    y.take(4)
    drawn += _limit_words(scale, wanted, y)
    top = y.take(HEIGHT)
    drawn += _forbidden(scale, wanted, top, hatch("out", tag))
    drawn += _zero(scale, wanted, top)
    drawn += _bar(scale, finding, top)
    drawn += _after(scale, worked, top)
    drawn += _figures(scale, finding, y)
    return drawn + _work_words(finding, worked, y)


def after_work(finding: Finding) -> Band | None:
    """What the result is once the shop work is done; None where none is called for."""
    job = finding.job
    if job is None:
        return None
    links = []
    for index, term in enumerate(finding.terms):
        is_worked = (term.measured.owner, term.measured.name) == (job.owner, job.feature)
        band = job.target if is_worked else term.measured.band
        if band is None:
            return None
        links.append(Link(str(index), term.sign, band, Fraction(term.factor)))
    return Chain(links).worst_case()


def _scale(results: Sequence[Band | None], wanted: Wanted) -> _Scale:
    """Room for the limits and the results, with a fifth to spare on either side."""
    ends = [end for end in (wanted.at_least, wanted.at_most) if end is not None]
    for result in results:
        ends += [] if result is None else [result.lo, result.hi]
    lo, hi = min(ends).units, max(ends).units
    width = Fraction(hi - lo) if hi > lo else Fraction(10_000)
    margin = width / 5
    return _Scale(lo - margin, Fraction(RIGHT - LEFT) / (width + 2 * margin))


def _times(scale: _Scale, drawn_at: float) -> str:
    times = float(scale.per_unit) / drawn_at if drawn_at else 0
    if times < 1.95:
        return ""
    rounded = float(f"{times:.2g}")  # It is there to be grasped, not to be reckoned with.
    shown = f"{rounded:,.0f}".replace(",", "\N{NARROW NO-BREAK SPACE}")
    return f", {shown} times larger"


def _limit_words(scale: _Scale, wanted: Wanted, y: Y) -> list[str]:
    """Above the limits: on one row where there is room for both, else on two."""
    least, most = wanted.at_least, wanted.at_most
    said = []
    if least is not None:
        said.append((scale.x(least), minus(f"at least {least}")))
    if most is not None:
        said.append((scale.x(most), minus(f"at most {most}")))
    places = [(inward(x, room(words)), room(words) / 2) for x, words in said]
    apart = len(said) < 2 or places[0][0] + places[0][1] + 6 <= places[1][0] - places[1][1]
    drawn = []
    first = y.take(16) + 11
    bases = (first, first if apart else y.take(14) + 11)
    for (x, words), base in zip(said, bases, strict=False):
        drawn += [text_at(x, base, words), line(x, base + 3, x, y.at + 2, "ink thin")]
    return drawn


def _forbidden(scale: _Scale, wanted: Wanted, top: float, fill: str) -> list[str]:
    """Crossed where the result must not lie, with a heavy line at each limit."""
    left, right, drawn = EDGE, WIDTH - EDGE, []
    if wanted.at_least is not None:
        x = scale.x(wanted.at_least)
        drawn += [box(left, top, x - left, HEIGHT, "", fill), line(x, top - 2, x, top + HEIGHT, "ink heavy")]
    if wanted.at_most is not None:
        x = scale.x(wanted.at_most)
        drawn += [box(x, top, right - x, HEIGHT, "", fill), line(x, top - 2, x, top + HEIGHT, "ink heavy")]
    return [*drawn, line(left, top + HEIGHT, right, top + HEIGHT, "ink thin")]


def _zero(scale: _Scale, wanted: Wanted, top: float) -> list[str]:
    """Where the faces just touch, if that is in sight."""
    x = scale.x(Length(0))
    limits = [scale.x(end) for end in (wanted.at_least, wanted.at_most) if end is not None]
    if not LEFT - 8 <= x <= RIGHT + 8 or any(abs(x - limit) < 8 for limit in limits):
        return []
    return [line(x, top, x, top + HEIGHT, "axis"), box(x - 5, top + 1, 10, 11, "paper"),
            text(x, top + 10, "0", "tiny", "middle")]  # fmt: skip


def _bar(scale: _Scale, finding: Finding, top: float) -> list[str]:
    """The band: a solid bar with a foot at each end; a question mark where there is no result."""
    middle = top + HEIGHT / 2 + 3
    if finding.result is None:
        return [
            box(LEFT, middle - _BAR / 2, RIGHT - LEFT, _BAR, "unknown"),
            box(WIDTH / 2 - 9, middle - 9, 18, 18, "paper"),
            text(WIDTH / 2, middle + 5, "?", "word", "middle"),
        ]
    left, right = scale.x(finding.result.lo), scale.x(finding.result.hi)
    width = max(right - left, 2)
    bar = [
        box(left - (width - right + left) / 2, middle - _BAR / 2, width, _BAR, "solid result"),
        *(line(x, middle - _BAR, x, top + HEIGHT + 12, "ink") for x in (left, right)),
    ]
    return [f'<g class="{verdict_class(finding.verdict)}">{"".join(bar)}</g>']


def _after(scale: _Scale, worked: Band | None, top: float) -> list[str]:
    """The band after the work, open where the other is solid."""
    if worked is None:
        return []
    left, right = scale.x(worked.lo), scale.x(worked.hi)
    return [box(left, top + HEIGHT / 2 + 3 - _BAR / 2, max(right - left, 2), _BAR, "plain")]


def _work_words(finding: Finding, worked: Band | None, y: Y) -> list[str]:
    """What the work is, on what and to which size, and what it leaves."""
    if finding.job is None or worked is None:
        return []
    job = finding.job
    words = f"{job.work.name}: {job.feature} to {job.target}. Then, drawn open, it is {worked}."
    return [text(EDGE, y.take(14) + 15, row) for row in wrapped(minus(words), WIDTH - 2 * EDGE)]


def _figures(scale: _Scale, finding: Finding, y: Y) -> list[str]:
    """The dimension of the band, its figures in mm and inches, and what is to spare."""
    if finding.result is None:
        return [text(EDGE, y.take(18) + 14, "The result is not known yet", "small")]
    result = finding.result
    left, right = scale.x(result.lo), scale.x(result.hi)
    drawn = across(left, right, y.take(12) + 9)
    said = [minus(f"is {result.format()}"), minus(spare(finding))]
    if room(said[0]) > WIDTH - 2 * EDGE:
        said[:1] = said[0].replace(" (", "\n(").splitlines()  # Inches on a row of their own.
    rows = [row for words in said for row in wrapped(words, WIDTH - 2 * EDGE)]
    middle = inward((left + right) / 2, max(map(room, rows)))
    return drawn + [text(middle, y.take(14) + 13, row, "small", "middle") for row in rows]
