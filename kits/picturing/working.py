"""The working of a finding, to be checked with a calculator: each term at both ends, the sum, the margin."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from kits.fit import Band, Chain, Figure, Finding, Length, Link, Term
from kits.picturing.marks import Mark, Marks, marked
from kits.picturing.words import minus, size_of


@dataclass(frozen=True)
class Row:
    """One term: what it counts for in the least and in the most result, and its share of the spread.

    `note` is what those two figures do not say: that it is not known, or counts more than once.
    """

    mark: Mark
    label: str
    size: str
    note: str
    source: str
    least: str
    most: str
    share: str


@dataclass(frozen=True)
class Working:
    """Rows, and under them what they come to; each of these is a pair (least, most) of figures in mm.

    `wanted` and `margin` have '' where that side is open; all three are None where nothing adds up.
    """

    rows: tuple[Row, ...]
    figures: tuple[Figure, ...]
    result: tuple[str, str] | None
    wanted: tuple[str, str] | None
    margin: tuple[str, str] | None

    @property
    def is_chain(self) -> bool:
        """Whether it is worth telling who contributes what to the spread."""
        return any(row.share for row in self.rows)


def working(finding: Finding, marks: Marks) -> Working:
    """The working of one finding, with the balloon numbers of its drawing."""
    signs = marked(finding, marks)
    shares = _shares(finding)
    adds_up = finding.wanted is not None
    rows = tuple(
        _row(term, mark, share, finding, adds_up)
        for term, mark, share in zip(finding.terms, signs, shares, strict=True)
    )
    if not adds_up:
        listed = {figure.name for figure in finding.figures}
        rows = tuple(row for row in rows if row.label not in listed)
    return Working(rows, finding.figures, _ends(finding.result), _wanted(finding), _margin(finding))


def _row(term: Term, mark: Mark, share: str, finding: Finding, adds_up: bool) -> Row:
    least, most = _counts(term) if adds_up else ("", "")
    label, size = term.measured.label, size_of(term, finding)
    note = size if adds_up and (term.measured.band is None or term.factor != 1) else ""
    return Row(mark, label, size, note, term.measured.source, least, most, share)


def _counts(term: Term) -> tuple[str, str]:
    """What the term adds in the least and in the most result, with its sign, outwards to 10 nm."""
    band = term.measured.band
    if band is None:
        return "?", "?"
    counted = band * (Fraction(term.factor) * term.sign)
    return _signed(counted.lo), _signed(counted.hi)


def _shares(finding: Finding) -> Sequence[str]:
    """Each term's share of the spread, where two or more make it up and all are known."""
    links = [
        Link(str(i), term.sign, term.measured.band, Fraction(term.factor))
        for i, term in enumerate(finding.terms)
        if term.measured.band is not None
    ]
    if finding.wanted is None or len(links) < max(2, len(finding.terms)):
        return [""] * len(finding.terms)
    shares = Chain(links).shares()
    if not any(shares.values()):
        return [""] * len(finding.terms)
    return [f"{float(shares[str(i)] * 100):.0f} %" for i in range(len(finding.terms))]


def _ends(band: Band | None) -> tuple[str, str] | None:
    return None if band is None else (_signed(band.lo), _signed(band.hi))


def _wanted(finding: Finding) -> tuple[str, str] | None:
    if finding.wanted is None:
        return None
    least, most = finding.wanted.at_least, finding.wanted.at_most
    return ("" if least is None else _signed(least), "" if most is None else _signed(most))


def _margin(finding: Finding) -> tuple[str, str] | None:
    """What is to spare at each limit; below zero it is missed."""
    if finding.result is None or finding.wanted is None:
        return None
    least, most = finding.wanted.at_least, finding.wanted.at_most
    return (
        "" if least is None else _signed(finding.result.lo - least),
        "" if most is None else _signed(most - finding.result.hi),
    )


def _signed(length: Length) -> str:
    figure = length.figure("mm")
    return minus(figure) if length.units < 0 else f"+{figure}" if length.units else figure
