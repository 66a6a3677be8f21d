"""A finding drawn: a chain or a pair in section with its result magnified, anything else as a table.

Verdicts are told by word and shape, and by colour only in addition; everything is said once more in
the text of the drawing.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from html import escape

from inventory.acting import ActError
from kits.fit import Finding, Wanted
from kits.judging import judge_fills
from kits.models import CustomKit
from kits.picturing.gauge import gauge
from kits.picturing.marks import Mark, Marks, marked, marks_of
from kits.picturing.pairs import Fitted, draw_pair, fitted, scale_of
from kits.picturing.stacks import draw_section, legend, section_of
from kits.picturing.strokes import EDGE, WIDTH, Y, number, text, wrapped
from kits.picturing.style import CLASS, hatches, style
from kits.picturing.tables import bars, table, unlisted
from kits.picturing.verdicts import foot
from kits.picturing.words import described, size_of
from kits.reading import read_kit


def draw_check(kit: CustomKit, check_code: str) -> str:
    """The drawing of one finding of a kit as it is filled now, as an SVG element."""
    conversion, fills = read_kit(kit)
    findings = {finding.code: finding for finding in judge_fills(conversion, fills).findings}
    if check_code not in findings:
        raise ActError(
            f"{kit.number} has no check {check_code!r} that applies; it has: "
            f"{', '.join(findings) or 'none'}.",
            code="no-such-check",
            checks=list(findings),
        )
    return draw(findings[check_code], marks_of(conversion, fills))


def draw(finding: Finding, marks: Marks | None = None) -> str:
    """The SVG element of a finding; no fixed width, so that it fits a phone and a paper alike.

    `marks` are the balloon numbers and short names by the label of what was measured, as
    `marks_of` gives them for a kit; what has none is marked with a letter.
    """
    signs, tag, y = marked(finding, marks or {}), _tag(finding), Y(4)
    parts = [text(EDGE, y.take(18) + 13, row, "word") for row in _title(finding)]
    y.take(4)
    if finding.wanted is None:
        parts += _compared(finding, signs, y, tag)
    elif pair := fitted(finding, signs):
        parts += _pair(finding, finding.wanted, pair, signs, y, tag)
    else:
        parts += _chain(finding, finding.wanted, signs, y, tag)
    parts += foot(finding.verdict, y)
    title = escape(f"{finding.title}: {finding.verdict.value}")
    description = escape(described(finding, signs))
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {number(y.at + 4)}" role="img" '
        f'aria-labelledby="t-{tag} d-{tag}" class="{CLASS}"><title id="t-{tag}">{title}</title>'
        f'<desc id="d-{tag}">{description}</desc>{style()}{hatches(tag)}{"".join(parts)}</svg>'
    )


def _tag(finding: Finding) -> str:
    """The code as part of an element's name."""
    return re.sub(r"[^A-Za-z0-9]+", "-", finding.code)


def _title(finding: Finding) -> list[str]:
    return wrapped(finding.title, WIDTH - 2 * EDGE, "word")


def _chain(finding: Finding, wanted: Wanted, marks: Sequence[Mark], y: Y, tag: str) -> list[str]:
    section = section_of(finding, marks)
    parts = draw_section(section, finding, y, tag)
    parts += legend(finding, marks, y, _sizes(finding))
    y.take(4)
    return parts + gauge(finding, wanted, y, tag, "A, the result", section.scale)


def _pair(finding: Finding, wanted: Wanted, pair: Fitted, marks: Sequence[Mark], y: Y, tag: str) -> list[str]:
    parts = draw_pair(pair, y, tag)
    parts += legend(finding, marks, y, _sizes(finding))
    y.take(4)
    return parts + gauge(finding, wanted, y, tag, "Clearance, below zero tight", scale_of(pair))


def _compared(finding: Finding, marks: Sequence[Mark], y: Y, tag: str) -> list[str]:
    """The figures, then what was compared and is in none of them."""
    parts = bars(finding, marks, y, tag) + (table(finding, marks, y) if finding.figures else [])
    rest = unlisted(finding)
    sizes = _sizes(finding)
    others = replace(finding, terms=tuple(finding.terms[i] for i in rest))
    return parts + legend(others, [marks[i] for i in rest], y, [sizes[i] for i in rest], signs=False)


def _sizes(finding: Finding) -> list[str]:
    return [size_of(term, finding) for term in finding.terms]
