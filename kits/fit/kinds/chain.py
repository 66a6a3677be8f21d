"""A dimension chain: the signed sum of its links lies within limits."""

from __future__ import annotations

from kits.fit.findings import Finding
from kits.fit.questions import Kind, Question, Role
from kits.fit.verdicts import judge


def _judge(question: Question) -> tuple[Finding, ...]:
    return (judge(question.code, question.title, question.chain("link", "depth"), question.limits),)


CHAIN = Kind(
    code="chain",
    name="dimension chain",
    about="What is added up and taken off along an axis leaves a gap within limits.",
    roles=(
        Role("link", "link", least=0, most=None, sign=0),
        Role("depth", "depth of a hole", least=0, most=None, sign=0, tool="depth"),
    ),
    judge=_judge,
    limits=True,
    fixed_limits=True,
)
