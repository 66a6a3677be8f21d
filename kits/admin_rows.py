"""The rows on the catalogue desk's pages: what belongs to an engine, a part, a revision, a slot, a check."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from django.contrib import admin
from django.http import HttpRequest

from inventory.models import AlternateNumber, Makeup, Offer, Stock, Supersession, Target
from kits import forms, models
from kits.fit import KINDS
from kits.models import Slot, TemplateRevision

if TYPE_CHECKING:
    _Inline = admin.TabularInline[Any, Any]
else:
    _Inline = admin.TabularInline

DRAFT = TemplateRevision.State.DRAFT


def revision_of(thing: Any) -> TemplateRevision | None:
    """The revision that a thing of the catalogue belongs to, by way of its slot if need be."""
    if thing is None or isinstance(thing, TemplateRevision):
        return thing
    if isinstance(thing, models.Candidate):
        return thing.slot.revision
    found = getattr(thing, "revision", None)
    return found if isinstance(found, TemplateRevision) else None


def is_open(thing: Any) -> bool:
    """Whether it may still be changed."""
    revision = revision_of(thing)
    return revision is None or revision.state == DRAFT


class DraftInline(_Inline):
    """Rows that can be changed while the revision of what they belong to is a draft."""

    extra = 0

    def has_add_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return is_open(obj) and bool(super().has_add_permission(request, obj))

    def has_change_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return is_open(obj) and super().has_change_permission(request, obj)

    def has_delete_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        # Taking a row out of a draft is writing the draft: whoever may change it may do that.
        return self.has_change_permission(request, obj)

    def get_formset(self, request: HttpRequest, obj: Any = None, **kwargs: Any) -> Any:
        """Slots are chosen among those of the same revision."""
        formset = super().get_formset(request, obj, **kwargs)
        for name in ("slot", "open_slot"):
            if name in formset.form.base_fields:
                slots = Slot.objects.filter(revision=revision_of(obj))
                formset.form.base_fields[name].queryset = slots  # type: ignore[attr-defined]  # a model choice
        return formset


class AttributeInline(_Inline):
    model = models.EngineAttribute
    extra = 0


class EngineFeatureInline(_Inline):
    model = models.EngineFeature
    form = forms.FeatureForm
    extra = 0


class OriginalPartInline(_Inline):
    model = models.OriginalPart
    autocomplete_fields = ("part",)
    extra = 0


class PartFeatureInline(_Inline):
    model = models.PartFeature
    form = forms.FeatureForm
    extra = 0


class AlternateNumberInline(_Inline):
    model = AlternateNumber
    extra = 0


class SupersessionInline(_Inline):
    model = Supersession
    fk_name = "old"
    autocomplete_fields = ("new",)
    extra = 0


class OfferInline(_Inline):
    model = Offer
    extra = 0
    show_change_link = True  # To its prices for more at once.


class TargetInline(_Inline):
    """Only to be seen: buying sets it, or a run does, each by an act that says why."""

    model = Target
    fields = ("reorder_at", "up_to", "most", "set_by", "why")
    can_delete = False

    def has_add_permission(self, *_: Any, **__: Any) -> bool:
        return False

    def has_change_permission(self, *_: Any, **__: Any) -> bool:
        return False


class MakeupInline(_Inline):
    """What the part is made up of here; fixed while made-up pieces are on hand, to come apart alike."""

    model = Makeup
    fk_name = "part"
    autocomplete_fields = ("component",)
    extra = 0

    def has_add_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return _none_made_up(obj) and bool(super().has_add_permission(request, obj))

    def has_change_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return _none_made_up(obj) and super().has_change_permission(request, obj)

    def has_delete_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        # Taking a row out is changing what the part is made up of: no record refers to it.
        return self.has_change_permission(request, obj)


def _none_made_up(part: Any) -> bool:
    return part is None or not Stock.objects.filter(part=part, on_hand__gt=0).exists()


class SlotInline(DraftInline):
    model = Slot
    show_change_link = True


class RuleInline(DraftInline):
    model = models.Rule
    show_change_link = True


class CheckInline(DraftInline):
    model = models.Check
    form = forms.CheckForm
    show_change_link = True


class StepInline(DraftInline):
    model = models.FittingStep


class CandidateInline(DraftInline):
    model = models.Candidate
    form = forms.CandidateForm
    show_change_link = True


class SubstitutionInline(DraftInline):
    model = models.Substitution
    autocomplete_fields = ("standard", "stand_in")


class CandidatePartInline(DraftInline):
    model = models.CandidatePart
    autocomplete_fields = ("part",)


class RuleTermInline(DraftInline):
    model = models.RuleTerm


class CheckTermInline(DraftInline):
    model = models.CheckTerm

    def get_formset(self, request: HttpRequest, obj: Any = None, **kwargs: Any) -> Any:
        """Of all roles only those that the kind of the check has."""
        formset = super().get_formset(request, obj, **kwargs)
        kind = KINDS.get(obj.kind) if obj is not None else None
        role = formset.form.base_fields.get("role")
        if kind is not None and role is not None:
            role.choices = [(one.code, one.name) for one in kind.roles]
        return formset
