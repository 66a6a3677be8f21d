"""Designations that must be the same, and counts that must be the same."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations
from typing import Final

from kits.fit.errors import FitError
from kits.fit.findings import Figure, Finding
from kits.fit.questions import Kind, Question, Role, Setting
from kits.fit.stating import find_out, listed, said, same_counts, stated, text_of
from kits.fit.terms import Term
from kits.fit.verdict import Verdict

Groups = tuple[frozenset[str], ...]

_TIMES: Final = str.maketrans({"\N{MULTIPLICATION SIGN}": "x", "*": "x"})


def plain(designation: str) -> str:
    """As it is compared: without case and spaces, and with one sign for times."""
    return "".join(designation.translate(_TIMES).casefold().split())


def read_groups(text: str) -> Groups:
    """'SPA = 13x10, XPA; A = 4L': within a group, between semicolons, one stands for the other."""
    groups = []
    for group in text.split(";"):
        names = [plain(name) for name in group.replace("=", ",").split(",")]
        if len(names) < 2 or not all(names):
            raise FitError(f"{group.strip()!r} does not say what stands for what; write it as in SPA = XPA")
        groups.append(frozenset(names))
    return tuple(groups)


def _alike(one: str, other: str, groups: Groups) -> bool:
    """Pair by pair: that A stands for B, and B for C, does not yet say that A stands for C."""
    first, second = plain(one), plain(other)
    return first == second or any(first in group and second in group for group in groups)


def _judge(question: Question) -> tuple[Finding, ...]:
    groups: Groups = question.given["stands-for"] or ()
    terms = question.of("value")
    texts = {text for term in terms if (text := text_of(term)) is not None}
    missing = [term for term in terms if text_of(term) is None]
    if any(not _alike(one, other, groups) for one, other in combinations(texts, 2)):
        verdict, reason = Verdict.DOES_NOT_GO, _differ(question, terms)
        missing = []  # whatever they are, these will never be the same
    elif missing:
        verdict = Verdict.MEASURE_FIRST
        wish = f"it must say the same as {listed(sorted(texts))}" if texts else "all must say the same"
        reason = f"{question.title}: {said(terms)}, so it cannot be told. {find_out(question, missing, wish)}"
    else:
        verdict = Verdict.GOES_TOGETHER
        how = "the same" if len({plain(text) for text in texts}) == 1 else "counted as the same by this check"
        reason = f"{question.title}: {said(terms)}, which is {how}."
    rule = dict(question.settings).get("stands-for")
    figures = (Figure("one stands for the other", rule, "setting of this check"),) if rule else ()
    measure = [term.measured for term in missing]
    return (stated(question, "", verdict, reason, terms, measure, figures),)


def _differ(question: Question, terms: Sequence[Term]) -> str:
    wishes = {plain(text): text for term in terms if (text := text_of(term))}
    first, *others = sorted(wishes.values())
    change = "".join(f", or all {other}" for other in others)
    return f"{question.title}: {said(terms)}, which are not the same. All would have to say {first}{change}."


def _judge_counts(question: Question) -> tuple[Finding, ...]:
    return (same_counts(question, "", question.of("count")),)


SAME = Kind(
    code="same",
    name="same designation",
    about="Belt profiles, splines, hose and fitting sizes, pulley sections: all say the same. Case, spaces "
    "and the sign for times do not count. Pitches and other lengths that must agree within a tolerance are "
    "a dimension chain, one less the other.",
    roles=(
        Role(
            "value",
            "designation",
            "text",
            least=2,
            most=None,
            how="read the marking on the part, its box or its drawing",
        ),
    ),
    judge=_judge,
    settings=(Setting("stands-for", "designations that stand for each other", read_groups, optional=True),),
)

SAME_COUNT = Kind(
    code="same-count",
    name="same number",
    about="Numbers of grooves, splines, teeth or studs: all are the same.",
    roles=(Role("count", "number", "count", least=2, most=None, how="count them on the part"),),
    judge=_judge_counts,
)
