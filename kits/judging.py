"""Does the kit go together? The worst of its checks and rules, with the reasons and their figures."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

from kits.conversion import Conversion, Filling, Fills
from kits.evaluating import Evaluator
from kits.fit import Finding, Job, Verdict, worst
from kits.models import CustomKit
from kits.reading import read_kit
from kits.ruling import NOTE, RuleFinding, rule_finding, unfilled
from kits.settling import settle

__all__ = ["Judgement", "RuleFinding", "judge_fills", "judge_kit"]


@dataclass(frozen=True)
class Judgement:
    """A verdict with all it rests on; `jobs` are the shop works that it counts on, each once."""

    verdict: Verdict
    findings: tuple[Finding, ...]
    rules: tuple[RuleFinding, ...]
    notes: tuple[str, ...]
    jobs: tuple[Job, ...] = field(default=())

    @property
    def reasons(self) -> list[str]:
        """Worst first; when everything goes together they are the figures that say so."""
        return reasons_of(self.findings, self.rules)

    def as_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        return {
            "verdict": self.verdict.value,
            "reasons": self.reasons,
            "notes": list(self.notes),
            "findings": [finding.as_dict() for finding in self.findings],
            "rules": [
                {"code": rule.code, "kind": str(rule.kind), "verdict": rule.verdict.value, "text": rule.text}
                for rule in self.rules
            ],
        }


def reasons_of(findings: Iterable[Finding], rules: Iterable[RuleFinding]) -> list[str]:
    """The sentences of rules and findings, worst first; of equals what hurts people, then the rules.

    What goes together is only told where there is nothing worse to tell.
    """
    said = [(-rule.verdict.rank, 1, rule.text) for rule in rules if rule.kind != NOTE]
    for finding in findings:
        grave = finding.question is not None and finding.question.kind.grave
        said.append((-finding.verdict.rank, 0 if grave else 2, finding.reason))
    bad = [one for one in said if one[0]]
    return [text for *_, text in sorted(bad or said, key=lambda one: one[:2])]


def judge_kit(kit: CustomKit) -> Judgement:
    """Judge a kit as it is filled now, on the dimensions as they are recorded now."""
    return judge_fills(*read_kit(kit))


def judge_fills(conversion: Conversion, fills: Fills) -> Judgement:
    """Judge any fills of a conversion."""
    settled = settle(Evaluator(conversion).findings(fills))
    fired = (rule_finding(conversion, rule, fills) for rule in conversion.rules)
    rules = (*(found for found in fired if found is not None), *unfilled(conversion, fills))
    return Judgement(
        verdict=worst([f.verdict for f in settled.findings] + [rule.verdict for rule in rules]),
        findings=settled.findings,
        rules=rules,
        notes=_notes(conversion, fills, rules),
        jobs=settled.jobs,
    )


def _notes(conversion: Conversion, fills: Fills, rules: Iterable[RuleFinding]) -> tuple[str, ...]:
    said = [rule.text for rule in rules if rule.kind == NOTE]
    for slot in conversion.slots:
        if slot.id in fills:
            said += part_notes(conversion, fills[slot.id])
    return tuple(dict.fromkeys(said))


def part_notes(conversion: Conversion, filling: Filling) -> list[str]:
    """What there is to say about the parts themselves: superseded, or no longer sold and none left."""
    said = []
    for part_id, _ in filling.parts:
        part = conversion.parts[part_id]
        if part.superseded_by:
            drop_in = "nothing else changes" if part.drop_in else "check what else changes with it"
            said.append(f"{part.label} is superseded by {part.superseded_by}; {drop_in}.")
        if part.ended and part.on_hand == 0:
            said.append(f"{part.label} is no longer sold and none is left; choose another.")
    return said
