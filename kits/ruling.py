"""Rules over engine, slots and parts: which hold, which are broken, and which cannot be told yet."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from kits.conversion import EMPTY, LEFT_OUT, PARTS, Conversion, Fills, RuleRead, RuleTermRead
from kits.fit import Verdict
from kits.models import Rule

NEEDS, CLASHES, NEVER, NOTE = Rule.Kind.NEEDS, Rule.Kind.CLASHES, Rule.Kind.NEVER, Rule.Kind.NOTE


@dataclass(frozen=True)
class RuleFinding:
    """A rule that has something to say: its code, its kind, the verdict that follows, and why."""

    code: str
    kind: str
    verdict: Verdict
    text: str


def rule_finding(conversion: Conversion, rule: RuleRead, fills: Fills) -> RuleFinding | None:
    """None where the rule says nothing.

    An attribute that the engine has no record of is unknown, and unknown is never shown as fitting: a
    rule that may or may not be broken is measure first, and says what to find out.
    """
    met = _all(_holds(conversion, term, fills) for term in rule.when)
    if met is False:
        return None
    if rule.kind == NOTE:
        return RuleFinding(rule.code, rule.kind, Verdict.GOES_TOGETHER, rule.text) if met else None
    kept = _all(_holds(conversion, term, fills) for term in rule.then) if rule.kind == NEEDS else False
    if kept is True:
        return None
    if met is True and kept is False:
        return RuleFinding(rule.code, rule.kind, Verdict.DOES_NOT_GO, rule.text)
    return RuleFinding(rule.code, rule.kind, Verdict.MEASURE_FIRST, _find_out(conversion, rule))


def unfilled(conversion: Conversion, fills: Fills) -> list[RuleFinding]:
    """A required slot that is left out."""
    return [
        RuleFinding(
            f"{slot.code}-is-required",
            NEEDS,
            Verdict.DOES_NOT_GO,
            f"{slot.name} must be filled: choose one of its candidates.",
        )
        for slot in conversion.slots
        if slot.required and fills.get(slot.id, EMPTY).how == LEFT_OUT
    ]


def never_on(conversion: Conversion, fills: Fills) -> RuleRead | None:
    """The first rule that says that this kit does not exist on this engine."""
    for rule in conversion.rules:
        if rule.kind == NEVER:
            found = rule_finding(conversion, rule, fills)
            if found is not None and found.verdict is Verdict.DOES_NOT_GO:
                return rule
    return None


def _all(answers: Iterable[bool | None]) -> bool | None:
    """All true, one false, or cannot be told."""
    known = True
    for answer in answers:
        if answer is False:
            return False
        known = known and answer is True
    return True if known else None


def _holds(conversion: Conversion, term: RuleTermRead, fills: Fills) -> bool | None:
    if term.slot_id is None:
        value = conversion.attributes.get(term.name)
        return None if value is None else (value in term.values) != term.unless
    return bool(_said_of(conversion, term, fills) & term.values) != term.unless


def _said_of(conversion: Conversion, term: RuleTermRead, fills: Fills) -> set[str]:
    """What the fill of the term's slot answers to the term's name."""
    filling = fills.get(term.slot_id, EMPTY) if term.slot_id is not None else EMPTY
    if term.name == "filled":
        return {filling.how}
    if filling.how != PARTS:
        return set()
    parts = [conversion.parts[part_id] for part_id, _ in filling.parts]
    if term.name == "part":
        return {part.key for part in parts}
    return {part.maker_code if term.name == "maker" else part.category for part in parts}


def _find_out(conversion: Conversion, rule: RuleRead) -> str:
    terms = (*rule.when, *rule.then)
    unknown = {t.name for t in terms if t.slot_id is None and t.name not in conversion.attributes}
    names = " and ".join(sorted(name.replace("-", " ") for name in unknown))
    return f"Find out the {names} of {conversion.engine}, which is not recorded. It matters: {rule.text}"
