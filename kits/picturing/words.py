"""What a drawing says, in words: sizes, how to measure, and the text for those who do not see it."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from kits.fit import Finding, Length, Term, Wanted
from kits.fit.finding_out import how_to_find
from kits.fit.measuring import tool_for
from kits.picturing.marks import Mark


def size_of(term: Term, finding: Finding) -> str:
    """The size, or what to measure it with; with its factor where it counts more or less than once."""
    known = term.measured.value is not None
    size = term.measured.said if known else f"not known, {_how(term, finding)}"
    return size if term.factor == 1 else f"{size}, times {term.factor}"


def _how(term: Term, finding: Finding) -> str:
    """With which tool, fine enough for the room that the known sizes leave; or as the role says."""
    if finding.wanted is None:
        return how_to_find(finding.question, term) if finding.question else "find it out first"
    return f"measure with a {tool_for(term.role, _room_for(term, finding.terms, finding.wanted))}"


def _room_for(term: Term, terms: Sequence[Term], wanted: Wanted) -> Fraction | None:
    """What this size may vary by if all unknown ones share the room; None where a side is open."""
    if wanted.at_least is None or wanted.at_most is None:
        return None
    known = [(other, band) for other in terms if (band := other.measured.band) is not None]
    taken = sum((band.width.units * Fraction(other.factor) for other, band in known), Fraction(0))
    unknown = max(len(terms) - len(known), 1)
    return ((wanted.at_most - wanted.at_least).units - taken) / unknown / term.factor


def um_figure(length: Length) -> str:
    """The bare number of micrometres."""
    return minus(f"{length.mm * 1000:f}".rstrip("0").rstrip(".") if length.units else "0")


def minus(figure: str) -> str:
    """A figure with the typographic minus."""
    return figure.replace("-", "\N{MINUS SIGN}")


def spare(finding: Finding) -> str:
    """How far the worst case lies inside the nearest limit or beyond it; '' where that is not known."""
    margin = finding.margin
    if margin is None:
        return ""
    if not margin.units:
        return "at worst just on the limit"
    if margin.units > 0:
        return f"at worst {margin.format(rounding='down')} to spare"
    return f"at worst {abs(margin).format(rounding='up')} outside"


def described(finding: Finding, marks: Sequence[Mark]) -> str:
    """Everything that the drawing shows: the reason, the terms, result, limits, margin, figures."""
    said = [finding.reason]
    terms = [
        f"{_way(term, finding)}({mark.sign}) {term.measured.label} {size_of(term, finding)}"
        for term, mark in zip(finding.terms, marks, strict=True)
    ]
    if terms:
        said.append(f"{_heading(finding)}: {'; '.join(terms)}.")
    if finding.wanted is not None:
        result = "not known" if finding.result is None else finding.result.format()
        said.append(f"Result {result}; wanted {finding.wanted.format()}.")
    if margin := spare(finding):
        said.append(f"{margin.capitalize()}.")
    said += [f"{figure.name}: {figure.value} ({figure.source})." for figure in finding.figures]
    return " ".join(said)


def _heading(finding: Finding) -> str:
    if finding.wanted is None:
        return "Compared"
    in_line = finding.question is None or finding.question.kind.code == "chain"
    return "Along the axis" if in_line else "Added up"


def _way(term: Term, finding: Finding) -> str:
    """'plus ' or 'minus ' where anything is added up."""
    if finding.wanted is None:
        return ""
    return "plus " if term.sign > 0 else "minus "
