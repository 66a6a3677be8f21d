"""Released revisions never change: nothing of one is added, altered or deleted through the models.

Connected by KitsConfig. Bulk writes of the ORM send no signals; acts and the admin use none on these
models. A fixture that is loaded raw is not looked at: it may come in any order.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django.db import models
from django.db.models.signals import m2m_changed, pre_delete, pre_save

from inventory.acting import ActError

from .models import (
    Candidate,
    CandidatePart,
    Check,
    CheckTerm,
    FittingStep,
    Rule,
    RuleTerm,
    Slot,
    Substitution,
    TemplateRevision,
)

DRAFT, RELEASED, WITHDRAWN = TemplateRevision.State
# How each thing finds the revision that it belongs to.
_PATHS: dict[type[models.Model], str] = {
    Slot: "revision",
    Candidate: "slot__revision",
    CandidatePart: "candidate__slot__revision",
    Substitution: "slot__revision",
    Rule: "revision",
    RuleTerm: "rule__revision",
    Check: "revision",
    CheckTerm: "of__revision",
    FittingStep: "revision",
}


def connect() -> None:
    """Called once, when the app is ready."""
    for model in _PATHS:
        pre_save.connect(_on_part_of, sender=model, dispatch_uid=f"guard save {model.__name__}")
        pre_delete.connect(_on_part_of, sender=model, dispatch_uid=f"guard delete {model.__name__}")
    pre_save.connect(_on_revision_saved, sender=TemplateRevision, dispatch_uid="guard save revision")
    pre_delete.connect(_on_revision_deleted, sender=TemplateRevision, dispatch_uid="guard delete revision")
    for field, receiver in (
        (TemplateRevision.engines, _on_engines_of_revision),
        (Substitution.engines, _on_engines_of_substitution),
    ):
        m2m_changed.connect(receiver, sender=field.through, dispatch_uid=f"guard {receiver.__name__}")


def _refuse(revision: TemplateRevision) -> None:
    raise ActError(
        f"{revision} is {revision.state}, and what was once released never changes, because kits and "
        "quotes refer to it. Make a new revision and change that.",
        code="released-revision",
        revision=revision.pk,
    )


def _require_draft(revisions: Iterable[TemplateRevision]) -> None:
    for revision in revisions:
        if revision.state != DRAFT:
            _refuse(revision)


def _on_part_of(sender: type[models.Model], instance: models.Model, raw: bool = False, **_: Any) -> None:
    """Both the revision that it belongs to as stored and the one that it would belong to."""
    if raw:
        return
    path = _PATHS[sender]
    parent = instance
    for name in path.split("__"):
        parent = getattr(parent, name)
    assert isinstance(parent, TemplateRevision)
    ids = {parent.pk}
    if instance.pk is not None:
        ids |= set(sender._default_manager.filter(pk=instance.pk).values_list(path, flat=True))
    _require_draft(TemplateRevision.objects.filter(pk__in=ids).select_related("template"))


def _on_revision_saved(instance: TemplateRevision, raw: bool = False, **_: Any) -> None:
    """A released revision can only be withdrawn."""
    stored = TemplateRevision.objects.filter(pk=instance.pk).exclude(state=DRAFT).first()
    if raw or stored is None:
        return
    withdrawn = stored.state == RELEASED and instance.state == WITHDRAWN
    same_state = instance.state == stored.state
    fields = ("template_id", "number", "hours", "released_at", "released_by_id")
    same = all(getattr(stored, name) == getattr(instance, name) for name in fields)
    if not same or not (withdrawn or same_state):
        _refuse(stored)


def _on_revision_deleted(instance: TemplateRevision, **_: Any) -> None:
    _require_draft(TemplateRevision.objects.filter(pk=instance.pk).select_related("template"))


def _on_engines_of_revision(
    instance: models.Model, action: str, pk_set: set[int] | None, reverse: bool, **_: Any
) -> None:
    if not action.startswith("pre_"):
        return
    if not reverse:
        revisions = TemplateRevision.objects.filter(pk=instance.pk)
    elif pk_set is None:
        revisions = TemplateRevision.objects.filter(engines=instance.pk)
    else:
        revisions = TemplateRevision.objects.filter(pk__in=pk_set)
    _require_draft(revisions.select_related("template"))


def _on_engines_of_substitution(instance: models.Model, action: str, reverse: bool, **_: Any) -> None:
    if action.startswith("pre_") and not reverse:
        assert isinstance(instance, Substitution)
        _require_draft([instance.slot.revision])
