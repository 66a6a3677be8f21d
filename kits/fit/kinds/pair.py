"""A bore and the shaft in it: the clearance between them lies within limits; below zero is tight."""

from __future__ import annotations

from kits.fit.errors import FitError
from kits.fit.findings import Finding
from kits.fit.questions import Kind, Question, Role
from kits.fit.verdicts import judge


def _judge(question: Question) -> tuple[Finding, ...]:
    if question.wanted is None:
        raise FitError(f"{question.title} has no limits; say what is wanted at least, at most, or both")
    return (judge(question.code, question.title, question.chain("bore", "shaft"), question.wanted),)


PAIR = Kind(
    code="pair",
    name="bore and shaft",
    about="Bore less shaft, on the diameter, is the clearance; below zero it is interference.",
    roles=(Role("bore", "bore", tool="bore"), Role("shaft", "shaft", sign=-1)),
    judge=_judge,
    limits=True,
)
