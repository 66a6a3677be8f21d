"""A kit as it is, and as it would be with one slot filled otherwise."""

from __future__ import annotations

from dataclasses import dataclass

from kits.conversion import Conversion, Filling, Fills, SlotRead
from kits.evaluating import Evaluator
from kits.fit import Finding, Job, Verdict, worst
from kits.judging import reasons_of
from kits.ruling import NOTE, rule_finding
from kits.settling import Settled, settle


@dataclass(frozen=True)
class Swapped:
    """What one swap does to the fit: the verdict and reasons that concern it, and the kit's shop works."""

    verdict: Verdict
    reasons: list[str]
    jobs: tuple[Job, ...]


class WhatIf:
    """Judges swaps one at a time, each against the same kit; what they share is judged once."""

    def __init__(self, conversion: Conversion, fills: Fills) -> None:
        self.conversion, self.fills = conversion, fills
        self._evaluator = Evaluator(conversion)
        self._before = [self._evaluator.of_check(check, fills) for check in conversion.checks]
        self.now = settle([finding for found in self._before for finding in found])
        self._said_now = set(map(_said, self.now.findings))
        self._checks = {check.code: check for check in conversion.checks}
        self._touching = {
            slot.id: [check for check in conversion.checks if slot.id in check.slot_ids]
            for slot in conversion.slots
        }

    def swapped(self, slot: SlotRead, filling: Filling) -> Swapped:
        """The whole kit with it, limited to what touches the slot, and to what its shop work would spoil.

        What is wrong elsewhere in the kit is said of the kit, not of every swap.
        """
        fills = {**self.fills, slot.id: filling}
        then = self._after(slot, fills)
        findings = [
            finding
            for finding in then.findings
            if self._concerns(slot, fills, finding) or _said(finding) not in self._said_now
        ]
        fired = (
            rule_finding(self.conversion, rule, fills)
            for rule in self.conversion.rules
            if slot.id in rule.slot_ids
        )
        rules = [found for found in fired if found is not None and found.kind != NOTE]
        verdict = worst([f.verdict for f in findings] + [r.verdict for r in rules])
        reasons = reasons_of(findings, rules) or [f"No check or rule concerns {slot.name}."]
        return Swapped(verdict, reasons, then.jobs)

    def _after(self, slot: SlotRead, fills: Fills) -> Settled:
        """The findings once the slot is filled so; without any shop work those that touch the slot do."""
        touched = [f for check in self._touching[slot.id] for f in self._evaluator.of_check(check, fills)]
        if not self.now.jobs and all(finding.job is None for finding in touched):
            return Settled(tuple(touched), ())
        return settle(self._evaluator.findings_after(slot.id, fills, self._before))

    def _concerns(self, slot: SlotRead, fills: Fills, finding: Finding) -> bool:
        """Whether what fills the slot has a part in it: a bolt's thread does not concern the spacer."""
        check, question = self._checks[finding.check], finding.question
        if slot.id not in check.slot_ids:
            return False
        if question is None or not question.kind.fixed_limits:
            return True  # Its limits may hang on the slot.
        given = self._evaluator.given_by(slot.id, check, fills)
        return not given or any(  # It may hang on the slot's being left out.
            (term.measured.owner, term.measured.name) in given for term in finding.terms
        )


def _said(finding: Finding) -> tuple[str, Verdict, str]:
    return finding.code, finding.verdict, finding.reason
