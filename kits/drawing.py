"""A check drawn in section along its axis: two stacks side by side, to scale, and the gap between them.

The upper stack adds to the gap and the lower one takes from it, so what the upper one has over is the
gap. It is drawn again below, magnified, as the band that it can lie in between the limits. Verdicts
are told by word and shape, never by colour alone; everything is said once more in text.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from html import escape

from inventory.acting import ActError
from kits.fit import Finding, Term
from kits.gauge import gauge
from kits.judging import judge_kit
from kits.models import CustomKit
from kits.strokes import WIDTH, Y, box, line, text, wrapped

LEFT, RIGHT = 12, WIDTH - 30  # Room on the right for the tag of a thin last part.
STACK_HEIGHT, TAG = 34, 24
MINUS = "\N{MINUS SIGN}"

# Under the drawing's own class: a style inside an inline drawing counts for the whole page.
_RULES = {
    "text": "fill:currentColor;font:12px system-ui,sans-serif",
    "text.small": "font-size:11px",
    "text.muted": "font-style:italic",
    "text.word": "font-weight:700;font-size:14px",
    ".ink": "fill:none;stroke:currentColor;stroke-width:1.4",
    ".thin": "stroke-width:.7",
    ".cut": "stroke:currentColor;stroke-width:1.2",
    ".result": "fill:currentColor",
    ".unknown": "fill:none;stroke:currentColor;stroke-dasharray:4 3",
    ".paper": "fill:Canvas;stroke:currentColor;stroke-width:.7",
    ".paper+text": "fill:CanvasText",
}
_STYLE = "<style>" + "".join(f".section-drawing {k}{{{v}}}" for k, v in _RULES.items()) + "</style>"


@dataclass(frozen=True)
class _Bar:
    """One term as it lies in its stack: from and to in units of 10 nm, exact until drawn."""

    term: Term
    start: Fraction
    end: Fraction


def draw_check(kit: CustomKit, check_code: str) -> str:
    """The drawing of one check of a kit as it is filled now, as an SVG element."""
    findings = {finding.code: finding for finding in judge_kit(kit).findings}
    if check_code not in findings:
        raise ActError(
            f"{kit.number} has no check {check_code!r} that applies; it has: "
            f"{', '.join(findings) or 'none'}.",
            code="no-such-check",
            checks=list(findings),
        )
    return draw(findings[check_code])


def draw(finding: Finding) -> str:
    """The SVG element of a finding; no fixed width, so that it fits a phone and a paper alike."""
    upper, lower = _stack(finding, 1), _stack(finding, -1)
    longest = max((bar.end for bar in (*upper, *lower)), default=Fraction(1)) or Fraction(1)
    scale = Fraction(RIGHT - LEFT) / longest
    tag = escape(finding.code, quote=True)
    y = Y(20)
    parts = [text(LEFT, y.take(18), row, "word") for row in wrapped(finding.title, 44)]
    y.at -= 10
    parts += _row(upper, y, scale, f"url(#rise-{tag})", "+")
    parts += _row(lower, y, scale, f"url(#fall-{tag})", MINUS)
    parts += _difference(upper, lower, y, scale, finding)
    parts += _legend(finding, y)
    parts += gauge(finding, y, scale, f"url(#out-{tag})")
    title = escape(f"{finding.title}: {finding.verdict.value}")
    description = escape(f"{finding.reason} {_in_words(finding)}")
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {y.at + 4}" role="img" '
        f'aria-labelledby="t-{tag} d-{tag}" class="section-drawing"><title id="t-{tag}">{title}</title>'
        f'<desc id="d-{tag}">{description}</desc>{_defs(tag)}{_STYLE}{"".join(parts)}</svg>'
    )


def _stack(finding: Finding, sign: int) -> list[_Bar]:
    """The terms of one sign end to end, each at the middle of its band; an unknown one takes no room."""
    bars, at = [], Fraction(0)
    for term in finding.terms:
        if term.sign == sign:
            band = term.measured.band
            size = Fraction(0) if band is None else max(Fraction(0), band.middle * term.factor)
            bars.append(_Bar(term, at, at + size))
            at += size
    return bars


def _row(bars: list[_Bar], y: Y, scale: Fraction, hatch: str, sign: str) -> list[str]:
    """One stack, its bars numbered as in the list below it."""
    top = y.take(STACK_HEIGHT + 4)
    drawn, x_free, shift = [], float(LEFT), 0
    for index, bar in enumerate(bars, start=1):
        x, width = LEFT + shift + float(bar.start * scale), float((bar.end - bar.start) * scale)
        if bar.term.measured.band is None:
            drawn += [box(x, top, TAG, STACK_HEIGHT, "unknown"), text(x + 8, top + 13, "?", "word")]
            shift += TAG
        else:
            drawn.append(box(x, top, max(width, 1), STACK_HEIGHT, "cut", hatch))
        # A thin part is named all the same: its tag moves right of the one before it.
        tag_x = max(x + max(width - TAG, 0) / 2, x_free)
        drawn.append(box(tag_x, top + 16, TAG, 16, "paper"))
        drawn.append(text(tag_x + 5, top + 28, f"{sign}{index}", "small"))
        x_free = tag_x + TAG + 1
    return drawn


def _difference(upper: list[_Bar], lower: list[_Bar], y: Y, scale: Fraction, finding: Finding) -> list[str]:
    """Where the two stacks end: the gap, or the overlap, between two lines."""
    bottom = y.take(18) + 4
    if finding.result is None:
        return []
    ends = sorted((bars[-1].end if bars else Fraction(0)) for bars in (upper, lower))
    left, right = (LEFT + float(end * scale) for end in ends)
    top = bottom - 2 * (STACK_HEIGHT + 4) - 4
    return [line(x, top, x, bottom, "ink thin") for x in (left, right)]


def _legend(finding: Finding, y: Y) -> list[str]:
    """Every term: its mark, whose it is, and its band."""
    lines, counts = [], {1: 0, -1: 0}
    for term in finding.terms:
        counts[term.sign] += 1
        mark = f"{'+' if term.sign > 0 else MINUS}{counts[term.sign]}"
        rows = wrapped(f"{mark} {term.measured.label}: {_size(term)}", 54)
        lines += [text(LEFT, y.take(15), row, "small") for row in rows]
    y.take(8)
    return lines


def _size(term: Term) -> str:
    band = term.measured.band
    size = "not known, measure it" if band is None else str(band)
    return size if term.factor == 1 else f"{size}, times {term.factor}"


def _in_words(finding: Finding) -> str:
    """The stacks for those who do not see them."""
    said = [
        f"{'plus' if term.sign > 0 else 'minus'} {term.measured.label} {_size(term)}"
        for term in finding.terms
    ]
    return f"Along the axis: {'; '.join(said)}."


def _defs(tag: str) -> str:
    """Hatches as in a section on paper: one way for what adds, the other for what takes."""
    strokes = {"rise": ("M0 8 8 0", 8), "fall": ("M0 0 8 8", 8), "out": ("M0 0 4 4M0 4 4 0", 4)}
    patterns = "".join(
        f'<pattern id="{name}-{tag}" width="{step}" height="{step}" patternUnits="userSpaceOnUse">'
        f'<path d="{steps}" stroke="currentColor" stroke-width=".6" opacity=".6" fill="none"/></pattern>'
        for name, (steps, step) in strokes.items()
    )
    return f"<defs>{patterns}</defs>"
