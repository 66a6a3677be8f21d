"""Releasing a template revision: only one that goes together on every engine that it is released for."""

from __future__ import annotations

from collections.abc import Iterator

from django.contrib.auth.models import User
from django.utils import timezone

from inventory.acting import ActError, act
from kits.conversion import PARTS, CheckRead, Conversion, RuleRead
from kits.fit import Verdict
from kits.judging import judge_fills
from kits.models import CheckTerm, FeatureKind, KitTemplate, Rule, TemplateRevision
from kits.reading import read_conversion
from kits.terms import term_for

State = TemplateRevision.State
# Shop work in a standard kit is priced and planned; a size to be measured first is not.
_READY = (Verdict.GOES_TOGETHER, Verdict.GOES_WITH_WORK)


@act("kits.keep_catalogue")
def release(user: User, revision: TemplateRevision) -> TemplateRevision:
    """Make it the revision that new kits are opened on; the one released before is withdrawn."""
    # Two clerks who release at once wait for each other here.
    KitTemplate.objects.select_for_update().get(pk=revision.template_id)
    revision.refresh_from_db()
    found = problems(revision)
    if found:
        raise ActError(
            f"{revision} cannot be released: {' '.join(found)}", code="cannot-release", problems=found
        )
    for earlier in TemplateRevision.objects.filter(template=revision.template_id, state=State.RELEASED):
        earlier.state = State.WITHDRAWN
        earlier.save(update_fields=["state"])
    revision.state, revision.released_at, revision.released_by = State.RELEASED, timezone.now(), user
    revision.save(update_fields=["state", "released_at", "released_by"])
    return revision


def problems(revision: TemplateRevision) -> list[str]:
    """What stands in the way of a release, each a sentence; empty when nothing does."""
    if revision.state != State.DRAFT:
        return [f"It is {revision.state} already; make a new revision and release that."]
    engines = list(revision.engines.all())
    if not engines:
        return ["Name at least one engine that it is released for."]
    conversions = [read_conversion(revision, engine) for engine in engines]
    first = conversions[0]
    found = [*_of_slots(first), *_of_rules(first), *_of_features(revision)]
    for check in first.checks:
        found += _of_check(first, check)
    if not found:  # Judging what is half described says nothing new.
        for conversion in conversions:
            found += _on_engine(conversion)
    return list(dict.fromkeys(found))


def _of_slots(conversion: Conversion) -> Iterator[str]:
    if not conversion.slots:
        yield "It has no slots; add what goes into the kit."
    names = [slot.name for slot in conversion.slots]
    for name in sorted({name for name in names if names.count(name) > 1}):
        yield f"Two slots are called {name}; reasons could not tell them apart."
    for slot in conversion.slots:
        if slot.required and slot.default is None:
            yield f"{slot.name} is required and has no default; mark one of its candidates."
        if any(not c.parts and c.category_id is None for c in slot.candidates):
            yield f"A candidate of {slot.name} has no parts and selects no category."


def _of_features(revision: TemplateRevision) -> Iterator[str]:
    terms = CheckTerm.objects.filter(of__revision=revision).select_related("of", "feature", "reused", "slot")
    for term in terms:
        for kind in (term.feature, term.reused):
            if kind is not None and kind.quantity != FeatureKind.Quantity.LENGTH:
                yield f"{term.of.name} asks for {kind.name}, which is not a length."
        if term.slot is not None and term.slot.reuse_allowed and term.reused is None:
            yield (
                f"{term.of.name} does not say which feature of the engine counts when {term.slot.name} "
                "is re-used."
            )


def _of_check(conversion: Conversion, check: CheckRead) -> Iterator[str]:
    roles = {term.role for term in check.terms}
    if not check.terms:
        yield f"{check.name} has no terms."
    if check.kind == "pair" and (roles != {"bore", "shaft"} or len(check.terms) != 2):
        yield f"{check.name} is a pair: it takes one bore and one shaft."
    if check.open_slot_id and all(term.slot_id != check.open_slot_id for term in check.terms):
        yield f"The open slot of {check.name} is not one of its terms."
    for term in check.terms:
        if term.slot_id is not None and not _is_carried(conversion, term.slot_id, term.feature_id):
            slot = conversion.slot_by_id[term.slot_id]
            yield f"{check.name} asks for {term.feature} of {slot.name}, which no candidate of it has."


def _is_carried(conversion: Conversion, slot_id: int, feature_id: int) -> bool:
    """Whether any part that may fill the slot has the feature, known or not."""
    slot = conversion.slot_by_id[slot_id]
    part_ids = {part_id for c in slot.candidates for part_id, _ in c.parts}
    categories = {c.category_id for c in slot.candidates if not c.parts}
    return any(
        feature_id in part.values
        for part in conversion.parts.values()
        if part.id in part_ids or part.category_id in categories
    )


def _of_rules(conversion: Conversion) -> Iterator[str]:
    for rule in conversion.rules:
        yield from _of_rule(rule)


def _of_rule(rule: RuleRead) -> Iterator[str]:
    if not rule.when:
        yield f"Rule {rule.code} does not say when it holds."
    if rule.kind == Rule.Kind.NEEDS and not rule.then:
        yield f"Rule {rule.code} does not say what is needed then."
    if rule.kind != Rule.Kind.NEEDS and rule.then:
        yield f"Rule {rule.code} says what is needed, which only a rule of the kind 'needs' does."
    for term in (*rule.when, *rule.then):
        if term.name == "filled" and term.slot_id and not term.values <= {PARTS, "own", "reused", "left out"}:
            yield f"Rule {rule.code} asks for a filling that there is not: {', '.join(sorted(term.values))}."


def _on_engine(conversion: Conversion) -> Iterator[str]:
    """What is not recorded of the engine, and whether the standard kit goes on it."""
    for check in conversion.checks:
        for term in check.terms:
            if term.slot_id is None:
                there = term_for(conversion, term, {})
                if there is None or there.measured.band is None:
                    yield f"{check.name} asks for {term.feature} of {conversion.engine}, which is not known."
    judgement = judge_fills(conversion, conversion.default_fills())
    if judgement.verdict not in _READY:
        why = " ".join(judgement.reasons)
        yield f"On {conversion.engine} the standard kit is '{judgement.verdict.value}': {why}"
