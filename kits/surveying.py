"""A template looked at whole: engines without a kit, candidates never used, rules that never matter."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import product

from kits.choices import Choice, choices_for
from kits.compiling.keeping import Kept, kept_for
from kits.conversion import OWN, Conversion, RuleRead
from kits.fit import Verdict
from kits.models import TemplateRevision
from kits.reading import read_conversion
from kits.ruling import NOTE, rule_finding
from kits.solver import Contradiction

_Choices = dict[int, dict[str, Choice]]


@dataclass(frozen=True)
class Survey:
    """Each entry a sentence; all empty where there is nothing to say.

    A candidate is idle if no whole kit has it on any engine; a rule, if no kit that passes every check
    breaks it on any engine.
    """

    engines_without_kit: tuple[str, ...]
    idle_candidates: tuple[str, ...]
    idle_rules: tuple[str, ...]

    @property
    def said(self) -> tuple[str, ...]:
        """All of it, the gravest first."""
        return (*self.engines_without_kit, *self.idle_candidates, *self.idle_rules)


def survey(revision: TemplateRevision) -> Survey:
    """Every engine that the revision is for, each compiled if it is not yet."""
    without: list[str] = []
    idle: dict[tuple[str, str], str] | None = None
    rules: dict[str, str] | None = None
    for engine in revision.engines.order_by("code"):
        conversion = read_conversion(revision, engine)
        choices = {slot.id: dict(choices_for(conversion, slot)) for slot in conversion.slots}
        kept = _kept(conversion, choices)
        without += _without_kit(conversion, kept)
        unused, unbroken = dict(_unused(conversion, choices, kept)), dict(_unbroken(conversion, choices))
        idle = unused if idle is None else {k: v for k, v in idle.items() if k in unused}
        rules = unbroken if rules is None else {k: v for k, v in rules.items() if k in unbroken}
    return Survey(tuple(without), tuple((idle or {}).values()), tuple((rules or {}).values()))


def prepare(revision: TemplateRevision) -> int:
    """Compile every engine's networks, so that the counter does not wait; returns how many engines.

    The second is without what only the customer could bring: what is in the way is told by that.
    """
    engines = list(revision.engines.order_by("code"))
    for engine in engines:
        conversion = read_conversion(revision, engine)
        choices = {slot.id: dict(choices_for(conversion, slot)) for slot in conversion.slots}
        _kept(conversion, choices)
        _kept(conversion, {i: {k: c for k, c in one.items() if k != OWN} for i, one in choices.items()})
    return len(engines)


def _kept(conversion: Conversion, choices: _Choices) -> Kept:
    return kept_for(conversion, {i: {k: c.filling for k, c in one.items()} for i, one in choices.items()})


def _without_kit(conversion: Conversion, kept: Kept) -> Iterator[str]:
    if not kept.solver.possible({}):
        reasons = "; ".join(kept.solver.conflict({}).reasons)
        yield f"No whole kit exists on {conversion.engine}: {reasons}."


def _unused(conversion: Conversion, choices: _Choices, kept: Kept) -> Iterator[tuple[tuple[str, str], str]]:
    """Candidates that no whole kit has, by slot and key."""
    try:
        options = kept.solver.options({})
    except Contradiction:
        options = {}
    for slot in conversion.slots:
        for key, choice in choices[slot.id].items():
            if options.get(slot.code, {}).get(key) is None:
                yield (slot.code, key), f"{slot.name}: no whole kit has {choice.label}."


def _unbroken(conversion: Conversion, choices: _Choices) -> Iterator[tuple[str, str]]:
    """Rules between slots that the checks let nobody break, by code."""
    rules = [rule for rule in conversion.rules if rule.slot_ids and rule.kind != NOTE]
    if rules:
        solver = _kept(replace(conversion, rules=()), choices).solver
        for rule in rules:
            if not any(solver.possible(broken) for broken in _breaking(conversion, choices, rule)):
                yield rule.code, f"Rule {rule.code} never matters: no kit that passes the checks breaks it."


def _breaking(conversion: Conversion, choices: _Choices, rule: RuleRead) -> Iterator[dict[str, str]]:
    """The fillings of a rule's slots, by code and key, that it forbids or leaves to be found out."""
    slots = [slot for slot in conversion.slots if slot.id in rule.slot_ids]
    for keys in product(*(choices[slot.id] for slot in slots)):
        fills = {slot.id: choices[slot.id][key].filling for slot, key in zip(slots, keys, strict=True)}
        found = rule_finding(conversion, rule, fills)
        if found is not None and found.verdict is not Verdict.GOES_TOGETHER:
            yield {slot.code: key for slot, key in zip(slots, keys, strict=True)}
