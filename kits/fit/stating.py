"""Findings that are no lengths, on counts, ratings and designations, and the sentences they share.

Figures are exact to six decimals; what does not end there is rounded so that it never flatters.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from decimal import Decimal, InvalidOperation
from fractions import Fraction
from math import ceil, floor
from typing import Final

from kits.fit.errors import FitError
from kits.fit.findings import Figure, Finding
from kits.fit.questions import Question
from kits.fit.terms import Amount, Measured, Term
from kits.fit.verdict import Verdict

Span = tuple[Fraction, Fraction]
_STEPS: Final = 10**6


def stated(
    question: Question,
    name: str,
    verdict: Verdict,
    reason: str,
    terms: Sequence[Term],
    measure: Sequence[Measured] = (),
    figures: Sequence[Figure] = (),
    about: str = "",
) -> Finding:
    """A finding without a length: its figures are the terms' values, then those given."""
    working = (*(_figure(term) for term in terms), *figures)
    return Finding(
        question.part(name),
        titled(question, about),
        verdict,
        result=None,
        wanted=None,
        terms=tuple(terms),
        job=None,
        reason=reason,
        measure=tuple(measure),
        figures=working,
    )


def titled(question: Question, about: str) -> str:
    """The title of one finding among several: 'Flange bolts, number of holes'."""
    return f"{question.title}, {about}" if about else question.title


def amount_of(term: Term) -> Amount | None:
    """The count or rating of a term, once; None where it is unknown."""
    value = term.measured.value
    if value is None or isinstance(value, Amount):
        return value
    raise FitError(
        f"{term.measured.label} is {value}, which is neither a count nor a rating; compare another"
    )


def text_of(term: Term) -> str | None:
    """The designation of a term; None where it is unknown or blank."""
    value = term.measured.value
    if value is None or isinstance(value, str):
        return (value or "").strip() or None
    raise FitError(f"{term.measured.label} is {value}, which is no designation; compare another feature")


def span_of(term: Term) -> Span | None:
    """The lowest and highest count or rating of a term, times its factor; None where it is unknown."""
    amount = amount_of(term)
    if amount is None:
        return None
    return Fraction(amount.lo) * term.factor, Fraction(amount.hi) * term.factor


def outwards(lo: Fraction, hi: Fraction, unit: str = "") -> Amount:
    """For print: the band rounded outwards, so that what the parts do never looks better than it is."""
    return Amount(rounded_down(lo), rounded_up(hi), unit)


def rounded_down(value: Fraction) -> Decimal:
    """To six decimals, down."""
    return Decimal(floor(value * _STEPS)) / _STEPS


def rounded_up(value: Fraction) -> Decimal:
    """To six decimals, up."""
    return Decimal(ceil(value * _STEPS)) / _STEPS


def listed(items: Sequence[str], word: str = "and") -> str:
    """'A, B and C'."""
    *first, last = items
    return f"{', '.join(first)} {word} {last}" if first else last


def said(terms: Sequence[Term]) -> str:
    """'Corran shaft keyways is 2 and Hoskerby hub keyways is unknown'."""
    return listed([f"{_label(term)} is {_value(term)}" for term in terms])


def find_out(question: Question, terms: Sequence[Term], decides: str) -> str:
    """'Find out Corran hub keyways (count them on the part); it goes together at 2.'"""
    ways = []
    for term in terms:
        how = question.kind.role(term.role).how
        ways.append(f"{term.measured.label} ({how})" if how else term.measured.label)
    return f"Find out {listed(ways)}; {decides}."


def same_counts(question: Question, name: str, terms: Sequence[Term], about: str = "") -> Finding:
    """Whether all the counts are the same number, each times its factor."""
    known = [(term, span) for term in terms if (span := span_of(term)) is not None]
    lowest = max((span[0] for _, span in known), default=Fraction(0))
    highest = min((span[1] for _, span in known), default=None)
    open_terms = [term for term in terms if (span := span_of(term)) is None or span[0] < span[1]]
    title = titled(question, about)
    if highest is not None and lowest > highest:
        least, most = (
            min(known, key=lambda one: one[1][1])[0],
            max(known, key=lambda one: one[1][0])[0],
        )
        gap = outwards(lowest - highest, lowest - highest)
        verdict, measure = Verdict.DOES_NOT_GO, []
        reason = (
            f"{title}: {said(terms)}, which must be the same and differ by {gap} at the least. "
            f"{least.measured.label} would have to be {_once(least, lowest)}, "
            f"or {most.measured.label} {_once(most, highest)}."
        )
    elif open_terms:
        verdict, measure = Verdict.MEASURE_FIRST, [term.measured for term in open_terms]
        ends = None if highest is None else outwards(lowest, highest)
        decides = f"to the whole number; all must be {ends or 'the same'}"
        reason = f"{title}: {said(terms)}, so it may or may not go. {find_out(question, open_terms, decides)}"
    else:
        verdict, measure = Verdict.GOES_TOGETHER, []
        reason = f"{title}: {said(terms)}, which is the same number, as wanted."
    return stated(question, name, verdict, reason, terms, measure, about=about)


def number_setting(least: str, most: str, unit: str) -> Callable[[str], Decimal]:
    """Reads a setting that is a plain number between two ends."""

    def read(text: str) -> Decimal:
        try:
            number = Decimal(text.strip())
        except InvalidOperation:
            raise FitError(f"{text!r} is not a number; write it as in {least} ({unit})") from None
        if not (number.is_finite() and Decimal(least) <= number <= Decimal(most)):
            raise FitError(f"{text} is not from {least} to {most} {unit}; write it again")
        return number

    return read


def _label(term: Term) -> str:
    return term.measured.label if term.factor == 1 else f"{term.factor} times {term.measured.label}"


def _value(term: Term) -> str:
    value = span_of(term) if isinstance(term.measured.value, Amount) else None
    if value is None:
        return term.measured.said
    unit = term.measured.value.unit if isinstance(term.measured.value, Amount) else ""
    return str(outwards(*value, unit))


def _once(term: Term, number: Fraction) -> str:
    """What a term has to be, once, for it to come to that number with its factor."""
    one = number / term.factor
    return str(outwards(one, one)) if one.denominator == 1 else f"{number} over {term.factor}"


def _figure(term: Term) -> Figure:
    return Figure(_label(term), _value(term), term.measured.source)
