"""A new revision of a template: a draft with the contents of an earlier one, to be changed and released."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TypeVar

from django.contrib.auth.models import User
from django.db.models import Max, Model

from inventory.acting import act
from kits.models import (
    Candidate,
    CandidatePart,
    Check,
    FittingStep,
    KitTemplate,
    Rule,
    RuleTerm,
    Slot,
    Substitution,
    TemplateRevision,
)

M = TypeVar("M", bound=Model)


@act("kits.keep_catalogue")
def revise(user: User, revision: TemplateRevision) -> TemplateRevision:  # noqa: ARG001  # the act records it
    """Copy slots, candidates, substitutions, rules, checks, steps and engines into the next draft."""
    template = KitTemplate.objects.select_for_update().get(pk=revision.template_id)
    last = template.revisions.aggregate(last=Max("number"))["last"] or 0
    made = TemplateRevision.objects.create(template=template, number=last + 1, hours=revision.hours)
    made.engines.set(revision.engines.all())
    slots = _copied(Slot.objects.filter(revision=revision), revision=made)
    candidates: dict[int, Candidate] = {}
    for old, slot in slots.items():
        candidates |= _copied(Candidate.objects.filter(slot=old), slot=slot)
        for substitution in Substitution.objects.filter(slot=old):
            engines = list(substitution.engines.all())
            _copy(substitution, slot=slot).engines.set(engines)
    for old, candidate in candidates.items():
        _copied(CandidatePart.objects.filter(candidate=old), candidate=candidate)
    for rule_id, rule in _copied(Rule.objects.filter(revision=revision), revision=made).items():
        for term in RuleTerm.objects.filter(rule=rule_id):
            _copy(term, rule=rule, slot=_of(slots, term.slot_id))
    for check in Check.objects.filter(revision=revision):
        terms = list(check.terms.all())
        copy = _copy(check, revision=made, open_slot=_of(slots, check.open_slot_id))
        for check_term in terms:
            _copy(check_term, of=copy, slot=_of(slots, check_term.slot_id))
    for step in FittingStep.objects.filter(revision=revision):
        _copy(step, revision=made, slot=_of(slots, step.slot_id))
    return made


def _of(slots: dict[int, Slot], slot_id: int | None) -> Slot | None:
    return None if slot_id is None else slots[slot_id]


def _copied(things: Iterable[M], **changes: Model) -> dict[int, M]:
    """Copies by the id of what they copy."""
    return {thing.pk: _copy(thing, **changes) for thing in things}


def _copy(thing: M, **changes: Model | None) -> M:
    """A new row of the same values, but for these."""
    fields = {field.attname: getattr(thing, field.attname) for field in thing._meta.concrete_fields}
    fields.pop(thing._meta.pk.attname if thing._meta.pk else "id")
    for name, value in changes.items():
        fields[f"{name}_id"] = None if value is None else value.pk
    copy = type(thing)(**fields)
    copy.save()
    return copy
