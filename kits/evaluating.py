"""From what fills the slots to the findings of the checks.

One `Evaluator` serves one call. What it finds is kept from call to call for as long as the facts are the
same (`kits.known`), and judging by value besides: a swap asks anew only what was never asked before. What
depends on stock, the advice on open slots, is told anew with every call.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import Any

from kits import known
from kits.conversion import EMPTY, CheckRead, Conversion, Filling, Fills
from kits.fit import Finding, Question, Term, Verdict, Wanted, ask, kind_of
from kits.open_link import OpenLinks
from kits.terms import term_for

KEPT = 4096
Found = tuple[Finding, ...]  # of one check, which may ask more than one thing


@dataclass(frozen=True, eq=False)
class _Keyed:
    """A term, and a short key of all its values: hashing whole terms costs as much as judging them."""

    term: Term
    key: tuple[Any, ...]


class Left:
    """No term: the slot is left out."""


LEFT = Left()


@dataclass(frozen=True)
class _Asked:
    """A question, told apart by a short key of all that judging depends on."""

    key: tuple[Any, ...]
    question: Question = field(compare=False)


@lru_cache(KEPT)
def _answered(asked: _Asked) -> Found:
    return ask(asked.question)


def forget() -> None:
    """Drop every answer kept from call to call, for a benchmark that wants the first time again."""
    _answered.cache_clear()
    known.forget()


class Evaluator:
    """Evaluates the checks of one conversion under different fills."""

    def __init__(self, conversion: Conversion) -> None:
        self.conversion = conversion
        terms, found = known.known_of(conversion)
        self._terms: known.Known[_Keyed | Left] = terms
        self._judged: known.Known[Found] = found
        self._found: dict[tuple[int, tuple[Filling, ...]], Found] = {}
        self._open = OpenLinks(conversion)

    def findings(self, fills: Fills) -> Found:
        """Of every check that applies to these fills, in the order of the checks."""
        return tuple(f for check in self.conversion.checks for f in self.of_check(check, fills))

    def findings_after(self, slot_id: int, fills: Fills, before: Sequence[Found]) -> Found:
        """The findings once `slot_id` is filled otherwise; `before` has those of each check, in order."""
        pairs = zip(self.conversion.checks, before, strict=True)
        return tuple(
            finding
            for check, known in pairs
            for finding in (self.of_check(check, fills) if slot_id in check.slot_ids else known)
        )

    def of_check(self, check: CheckRead, fills: Fills) -> Found:
        """Empty where the check does not apply: a pair of which one is left out, or no term at all."""
        key = (check.id, tuple(fills.get(slot_id, EMPTY) for slot_id in check.slot_ids))
        if key not in self._found:
            judged = self._judged.get(key)
            if judged is None:
                judged = self._judged.keep(key, self._judge(check, fills))
            self._found[key] = self._advised(check, fills, judged)
        return self._found[key]

    def given_by(self, slot_id: int, check: CheckRead, fills: Fills) -> set[tuple[str, str]]:
        """Owner and name of every feature that what fills a slot gives a check."""
        terms = (self._term(check, i, fills) for i, term in enumerate(check.terms) if term.slot_id == slot_id)
        return {(one.term.measured.owner, one.term.measured.name) for one in terms if one is not None}

    def _judge(self, check: CheckRead, fills: Fills) -> Found:
        terms = [self._term(check, index, fills) for index in range(len(check.terms))]
        there = [one for one in terms if one is not None]
        said = (check.kind, check.code, check.name, check.settings, _limits(check.wanted))
        question = Question(
            kind_of(check.kind),
            check.code,
            check.name,
            tuple(one.term for one in there),
            check.wanted,
            check.settings,
        )
        return _answered(_Asked((*said, *(one.key for one in there)), question))

    def _advised(self, check: CheckRead, fills: Fills, found: Found) -> Found:
        """With the size that the open slot needs, where the check has one and something is wrong."""
        if check.open_slot_id is None or all(f.verdict is Verdict.GOES_TOGETHER for f in found):
            return found
        advice = self._size_advice(check, fills)
        return tuple(replace(f, reason=f"{f.reason} {advice}") for f in found) if advice else found

    def _term(self, check: CheckRead, index: int, fills: Fills) -> _Keyed | None:
        """The term of a check under these fills, made once for each filling of its slot."""
        read = check.terms[index]
        key = (check.id, index, EMPTY if read.slot_id is None else fills.get(read.slot_id, EMPTY))
        kept = self._terms.get(key)
        if kept is None:
            term = term_for(self.conversion, read, fills)
            kept = self._terms.keep(key, LEFT if term is None else _Keyed(term, _key(term)))
        return kept if isinstance(kept, _Keyed) else None

    def _size_advice(self, check: CheckRead, fills: Fills) -> str:
        """Which size the open slot needs, and which candidates have it; '' while that is unknown."""
        open_terms = [term for term in check.terms if term.slot_id == check.open_slot_id]
        if len(open_terms) != 1:
            return ""
        asked = [
            self._term(check, index, fills)
            for index, other in enumerate(check.terms)
            if other.slot_id != check.open_slot_id
        ]
        return self._open.advice(check, open_terms[0], [one.term for one in asked if one is not None])


def _limits(wanted: Wanted | None) -> tuple[int | None, int | None]:
    least, most = (wanted.at_least, wanted.at_most) if wanted else (None, None)
    return None if least is None else least.units, None if most is None else most.units


def _key(term: Term) -> tuple[Any, ...]:
    """Every value of a term, flat."""
    measured = term.measured
    band = measured.band
    ends = measured.value if band is None else (band.lo.units, band.hi.units)
    return (
        term.sign,
        measured.owner,
        measured.name,
        ends,
        measured.source,
        term.factor,
        term.works,
        term.role,
    )
