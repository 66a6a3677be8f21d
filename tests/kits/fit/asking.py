"""Short words to ask a check of any kind, and to read what it found."""

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from kits.fit import KINDS, Amount, Band, Finding, Measured, Question, Term, Verdict, Work, ask, worst

Given = Band | Amount | str | int | None


def amount(lo: str, hi: str = "", unit: str = "") -> Amount:
    return Amount(Decimal(lo), Decimal(hi or lo), unit)


def term(kind: str, role: str, given: Given, owner: str = "Corran", works: tuple[Work, ...] = ()) -> Term:
    """The term in a role; a whole number is a count, and the text of a length is read."""
    asked = KINDS[kind].role(role)
    value = Amount.exactly(given) if isinstance(given, int) else given
    if isinstance(value, str) and asked.quantity == "length":
        value = Band.parse(value)
    measured = Measured(owner, role, value, "drawing")
    return Term(asked.sign or 1, measured, works=works, role=role)


def question(
    kind: str,
    given: Mapping[str, Given | list[Any]],
    settings: Mapping[str, str] | None = None,
    works: Mapping[str, Work] | None = None,
) -> Question:
    terms = []
    for role, values in given.items():
        work = (works or {}).get(role)
        many = values if isinstance(values, list) else [values]
        for place, value in enumerate(many, start=1):
            owner = f"Corran {place}" if isinstance(values, list) else "Corran"
            terms.append(term(kind, role, value, owner, (work,) if work else ()))
    return Question(KINDS[kind], "c", "Check", tuple(terms), None, tuple((settings or {}).items()))


def found(asked: Question) -> dict[str, Finding]:
    """By the part of the code behind the check's own."""
    return {finding.code.partition(".")[2]: finding for finding in ask(asked)}


def verdict(asked: Question) -> Verdict:
    return worst(finding.verdict for finding in ask(asked))
