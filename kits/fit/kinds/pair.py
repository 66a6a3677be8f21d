"""A bore and the shaft in it: the clearance between them lies within limits; below zero is tight."""

from __future__ import annotations

from kits.fit.findings import Finding
from kits.fit.questions import Kind, Question, Role
from kits.fit.verdicts import judge


def _judge(question: Question) -> tuple[Finding, ...]:
    return (judge(question.code, question.title, question.chain("bore", "shaft"), question.limits),)


PAIR = Kind(
    code="pair",
    name="bore and shaft",
    about="Bore less shaft, on the diameter, is the clearance; below zero it is interference.",
    roles=(Role("bore", "bore", tool="bore"), Role("shaft", "shaft", sign=-1)),
    judge=_judge,
    limits=True,
    fixed_limits=True,
)
