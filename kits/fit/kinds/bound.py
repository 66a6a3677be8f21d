"""What is supplied covers what is asked for: flow, power, current, torque."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Final

from kits.fit.errors import FitError
from kits.fit.findings import Figure, Finding
from kits.fit.measuring import settling
from kits.fit.questions import Kind, Question, Role, Setting
from kits.fit.stating import (
    Span,
    amount_of,
    find_out,
    number_setting,
    outwards,
    rounded_down,
    rounded_up,
    said,
    span_of,
    stated,
)
from kits.fit.terms import Amount, Term
from kits.fit.verdict import Verdict

_NOTHING: Final = Fraction(0)


@dataclass(frozen=True)
class _Balance:
    """Supply and demand of what is known, in one unit; a demand counts `times`, for the reserve."""

    supplies: tuple[Term, ...]
    demands: tuple[Term, ...]
    reserve: Decimal
    unit: str

    @property
    def terms(self) -> tuple[Term, ...]:
        return self.supplies + self.demands

    @property
    def times(self) -> Fraction:
        return 1 + Fraction(self.reserve) / 100

    @property
    def supply(self) -> Span:
        return _sum(self.supplies)

    @property
    def demand(self) -> Span:
        return _sum(self.demands)

    @property
    def left(self) -> Span:
        """What is left at the least and at the most; below zero it is short."""
        return (
            self.supply[0] - self.demand[1] * self.times,
            self.supply[1] - self.demand[0] * self.times,
        )

    @property
    def missing(self) -> list[Term]:
        return [term for term in self.terms if span_of(term) is None]

    def weight(self, term: Term) -> Fraction:
        """What one unit of a term changes in what is left."""
        return Fraction(term.factor) if term in self.supplies else term.factor * self.times

    def enough_at(self, term: Term) -> str:
        """What surely is enough of one term, while the others are as they are; '' where nothing is."""
        low, high = span_of(term) or (_NOTHING, _NOTHING)
        if term in self.supplies:
            least = max((low - self.left[0]) / term.factor, _NOTHING)
            return f"at least {rounded_up(least)} {self.unit}".strip()
        most = (high * self.times + self.left[0]) / self.weight(term)
        return f"at most {rounded_down(most)} {self.unit}".strip() if most >= 0 else ""

    def amount(self, span: Span) -> Amount:
        """For print."""
        return outwards(*span, self.unit)


def _sum(terms: Sequence[Term]) -> Span:
    spans = [span for term in terms if (span := span_of(term)) is not None]
    return sum((low for low, _ in spans), _NOTHING), sum((high for _, high in spans), _NOTHING)


def _balance(question: Question) -> _Balance:
    supplies, demands = question.of("supply"), question.of("demand")
    amounts = [amount for term in supplies + demands if (amount := amount_of(term)) is not None]
    units = sorted({amount.unit for amount in amounts})
    if len(units) > 1:
        raise FitError(f"{question.title} compares {' and '.join(units)}; record all of it in one unit")
    if any(amount.lo < 0 for amount in amounts):
        raise FitError(f"{question.title} compares ratings below zero; record each as zero or more")
    return _Balance(supplies, demands, question.given["reserve"], units[0] if units else "")


def _judge(question: Question) -> tuple[Finding, ...]:
    balance = _balance(question)
    low, high = balance.left
    missing = balance.missing
    supply_known = not any(term in balance.supplies for term in missing)
    chosen: list[Term] = []
    if supply_known and high < 0:  # the demands that are not known can only add to it
        verdict, reason = Verdict.DOES_NOT_GO, _short(balance)
    elif missing:
        verdict, reason, chosen = Verdict.MEASURE_FIRST, _unknown(question, balance), missing
    elif low >= 0:
        verdict = Verdict.GOES_TOGETHER
        reason = f"at least {rounded_down(low)} {balance.unit}".rstrip() + " is left."
    else:
        verdict, (reason, chosen) = Verdict.MEASURE_FIRST, _straddles(question, balance)
    opening = f"{question.title}: {_against(balance)}, "
    measure = [term.measured for term in chosen]
    return (stated(question, "", verdict, opening + reason, balance.terms, measure, _figures(balance)),)


def _against(balance: _Balance) -> str:
    words = []
    for word, terms, span in (
        ("supply", balance.supplies, balance.supply),
        ("demand", balance.demands, balance.demand),
    ):
        part = any(term in balance.missing for term in terms)
        words.append(f"{'known ' if part else ''}{word} {balance.amount(span)}")
    reserve = f" and a reserve of {balance.reserve} %" if balance.reserve else ""
    return f"{words[0]} against {words[1]}{reserve}"


def _short(balance: _Balance) -> str:
    """By how much it falls short, and what would have to change."""
    _, high = balance.left
    supply = rounded_up(balance.demand[1] * balance.times)
    demand = rounded_down(balance.supply[0] / balance.times)
    short = f"{rounded_up(-high)} {balance.unit}".strip()
    return (
        f"short by {short} at the least. All supply together would have to be at least {supply} "
        f"{balance.unit}".rstrip()
        + f", or all demand at most {demand} {balance.unit}".rstrip()
        + "."
    )


def _unknown(question: Question, balance: _Balance) -> str:
    missing, low = balance.missing, balance.left[0]
    if len(missing) == 1 and (enough := balance.enough_at(missing[0])):
        wish = f"{enough} is enough"
    elif low >= 0:
        wish = f"without what is unknown at least {rounded_down(low)} {balance.unit}".rstrip() + " is left"
    else:
        wish = f"without what is unknown up to {rounded_up(-low)} {balance.unit}".rstrip() + " is short"
    return f"but {said(missing)}, so it cannot be told. {find_out(question, missing, wish)}"


def _straddles(question: Question, balance: _Balance) -> tuple[str, list[Term]]:
    """Which terms to find out more closely, and how closely; as for a chain of lengths."""
    low, high = balance.left
    spreads = []
    for term in balance.terms:
        least, most = span_of(term) or (_NOTHING, _NOTHING)
        spreads.append((most - least) * balance.weight(term) / term.factor)
    places, room = settling(spreads, high)
    chosen = [balance.terms[place] for place in places]
    finest = min(room / 10 / len(chosen) / balance.weight(term) for term in chosen)
    close = f"read to {rounded_down(finest)} {balance.unit}".strip() if room else "as closely as can be read"
    wish = f"{balance.enough_at(chosen[0])} is enough, {close}" if len(chosen) == 1 else f"each {close}"
    short, left = f"{rounded_up(-low)} {balance.unit}".strip(), f"{rounded_down(high)} {balance.unit}".strip()
    reason = f"from {short} short to {left} left, so it may or may not be enough."
    return f"{reason} {find_out(question, chosen, wish)}", chosen


def _figures(balance: _Balance) -> tuple[Figure, ...]:
    known = "known " if balance.missing else ""
    worked_out = "worked out"
    return (
        Figure(f"{known}supply together", str(balance.amount(balance.supply)), worked_out),
        Figure(f"{known}demand together", str(balance.amount(balance.demand)), worked_out),
        Figure("reserve wanted", f"{balance.reserve} % of the demand", "setting of this check"),
        Figure(
            "left of what is known" if known else "left, below zero short",
            str(balance.amount(balance.left)),
            "supply less demand and its reserve",
        ),
    )


BOUND = Kind(
    code="bound",
    name="supply and demand",
    about="Flow, power, current or torque: all that is supplied covers all that is asked for, and a reserve.",
    roles=(
        Role("supply", "supply", "rating", most=None, how="read its plate or the maker's data sheet"),
        Role(
            "demand", "demand", "rating", most=None, sign=-1, how="read its plate or the maker's data sheet"
        ),
    ),
    judge=_judge,
    settings=(
        Setting("reserve", "reserve in per cent of the demand", number_setting("0", "1000", "%"), "0"),
    ),
)
