"""What a check cannot be judged without: each feature that is missing, and how it is found out."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from kits.fit.findings import Finding
from kits.fit.measuring import tool_for
from kits.fit.questions import Question
from kits.fit.stating import listed, stated, titled
from kits.fit.terms import Term
from kits.fit.verdict import Verdict

_ONLY_TOOLS: Final = ("bore", "depth", "outside")


def found_out(
    question: Question, name: str, terms: Sequence[Term], why: str = "", about: str = ""
) -> Finding:
    """Measure first, naming every term; `why` says what is wrong with them unless they are unknown."""
    labels = listed([term.measured.label for term in terms])
    because = why or f"{labels} {'is' if len(terms) == 1 else 'are'} {_state(terms)}"
    ways = "; ".join(f"{term.measured.label}: {how_to_find(question, term)}" for term in terms)
    reason = f"{titled(question, about)} cannot be told, because {because}. Find out first: {ways}."
    measure = [term.measured for term in terms]
    return stated(question, name, Verdict.MEASURE_FIRST, reason, terms, measure, about=about)


def how_to_find(question: Question, term: Term) -> str:
    """With which tool a length is measured; for anything else what its role says."""
    if term.role in _ONLY_TOOLS and term.role not in {role.code for role in question.kind.roles}:
        return f"measure it with a {tool_for(term.role, None)}"
    role = question.kind.role(term.role)
    return role.how or f"measure it with a {tool_for(role.tool, None)}"


def _state(terms: Sequence[Term]) -> str:
    written = [repr(term.measured.value) for term in terms if isinstance(term.measured.value, str)]
    return f"unknown or not known here as written ({', '.join(written)})" if written else "unknown"
