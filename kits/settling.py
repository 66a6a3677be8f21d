"""Shop works seen together: what one check asks to be taken off must not spoil another.

Each check chooses its own work. Here every check is judged again with the worked sizes, so that a kit
goes with work only where all its works together leave all its checks right.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from kits.fit import Finding, Job, Term, Verdict, ask

Worked = tuple[str, str]


@dataclass(frozen=True)
class Settled:
    """The findings as they stand with all works done, and the works that are worth doing."""

    findings: tuple[Finding, ...]
    jobs: tuple[Job, ...]


def settle(findings: Sequence[Finding]) -> Settled:
    """Keep one job per feature, the one that takes most, and judge what it touches again."""
    jobs: dict[Worked, Job] = {}
    for finding in findings:
        if finding.job is not None:
            known = jobs.get(_of(finding.job))
            if known is None or known.amount < finding.job.amount:
                jobs[_of(finding.job)] = finding.job
    if not jobs:
        return Settled(tuple(findings), ())
    settled = tuple(_again(finding, jobs) for finding in findings)
    still = {_of(finding.job): finding.job for finding in settled if finding.job is not None}
    return Settled(settled, tuple(still.values()))


def _of(job: Job) -> Worked:
    return job.owner, job.feature


def _again(finding: Finding, jobs: Mapping[Worked, Job]) -> Finding:
    """The finding with the works done: as it was, or worse with the reason."""
    asked = finding.question.terms if finding.question else finding.terms
    touched = [jobs[key] for term in asked if (key := _key(term)) in jobs]
    if not touched:
        return finding
    after = _judged_again(finding, jobs)
    if after.verdict is Verdict.GOES_TOGETHER:
        return _with_the_larger(finding, jobs)
    unsure = after.verdict is Verdict.MEASURE_FIRST
    verdict = max(finding.verdict, Verdict.MEASURE_FIRST if unsure else Verdict.DOES_NOT_GO)
    works = " and ".join(f"{job.work.name.lower()} on {job.owner} {job.feature}" for job in touched)
    reason = f"{after.reason} This is with the shop work that the kit needs elsewhere done ({works})."
    return replace(after, verdict=verdict, reason=reason, job=None)


def _judged_again(finding: Finding, jobs: Mapping[Worked, Job]) -> Finding:
    """The same finding of the same check, with the worked sizes in place of the parts' own."""
    question = finding.question
    if question is None:
        raise ValueError(f"{finding.code} was not asked as a question; settle what ask() found")
    worked = replace(question, terms=tuple(_worked(term, jobs) for term in question.terms))
    return next(found for found in ask(worked) if found.code == finding.code)


def _key(term: Term) -> Worked:
    return term.measured.owner, term.measured.name


def _worked(term: Term, jobs: Mapping[Worked, Job]) -> Term:
    job = jobs.get(_key(term))
    if job is None:
        return replace(term, works=())
    return replace(term, works=(), measured=replace(term.measured, value=job.target))


def _with_the_larger(finding: Finding, jobs: Mapping[Worked, Job]) -> Finding:
    """When another check takes more off the same feature, say so: one work is done, once."""
    job = finding.job and jobs[_of(finding.job)]
    if job is None or job == finding.job:
        return finding
    amount, target = job.amount.format(rounding="up"), job.target.format(rounding="in")
    more = f"Another check needs more: {job.work.name}, up to {amount} in all, to {target}."
    return replace(finding, job=job, reason=f"{finding.reason} {more}")
