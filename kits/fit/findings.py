"""What a check finds: a verdict with the figures and the reason that it rests on."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from kits.fit.band import Band
from kits.fit.errors import expect_fields, expect_items
from kits.fit.length import Length
from kits.fit.terms import Job, Measured, Plain, Term, Wanted, ends
from kits.fit.verdict import Verdict

if TYPE_CHECKING:
    from kits.fit.questions import Question


@dataclass(frozen=True)
class Figure:
    """One line of the working: what was looked up or computed, its value, and where it comes from."""

    name: str
    value: str
    source: str

    def __post_init__(self) -> None:
        expect_fields(self, name=str, value=str, source=str)

    def as_dict(self) -> Plain:
        """Plain values for JSON."""
        return {"name": self.name, "value": self.value, "source": self.source}


@dataclass(frozen=True)
class Finding:
    """A verdict with its figures and its reason; `measure` lists what to measure, if anything.

    `result` and `wanted` are lengths: a gap, a clearance, a thread engaged. A finding on something
    else has neither, and its `figures` say what was compared. `question` is what was asked.
    """

    code: str
    title: str
    verdict: Verdict
    result: Band | None
    wanted: Wanted | None
    terms: tuple[Term, ...]
    job: Job | None
    reason: str
    measure: tuple[Measured, ...]
    figures: tuple[Figure, ...] = ()
    question: Question | None = field(default=None, compare=False, repr=False)

    def __post_init__(self) -> None:
        expect_fields(self, code=str, title=str, verdict=Verdict, result=(Band, type(None)))
        expect_fields(self, wanted=(Wanted, type(None)), job=(Job, type(None)), reason=str)
        expect_items(self.terms, Term, "a finding's terms")
        expect_items(self.measure, Measured, "what a finding wants measured")
        expect_items(self.figures, Figure, "a finding's figures")

    @property
    def check(self) -> str:
        """The code of the check that it answers: one check may have several findings."""
        return self.question.code if self.question else self.code

    @property
    def margin(self) -> Length | None:
        """How far the worst case lies inside the nearest limit; below zero, how far it lies outside."""
        if self.result is None or self.wanted is None:
            return None
        below = None if self.wanted.at_least is None else self.result.lo - self.wanted.at_least
        above = None if self.wanted.at_most is None else self.wanted.at_most - self.result.hi
        return min(room for room in (below, above) if room is not None)

    def as_dict(self) -> Plain:
        """Plain values for JSON: lengths as exact text in mm, and as whole units of 10 nm."""
        return {
            "code": self.code,
            "check": self.check,
            "title": self.title,
            "verdict": self.verdict.value,
            "reason": self.reason,
            "result": None if self.result is None else ends(self.result),
            "wanted": None if self.wanted is None else self.wanted.as_dict(),
            "margin": None if self.margin is None else str(self.margin),
            "terms": [term.as_dict() for term in self.terms],
            "figures": [figure.as_dict() for figure in self.figures],
            "job": None if self.job is None else self.job.as_dict(),
            "measure": [measured.as_dict() for measured in self.measure],
        }
