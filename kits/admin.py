"""The catalogue desk's pages: engines, parts with their features, templates and what belongs to them.

Whatever belongs to a released revision can be read here and not changed; the model layer says so too.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from django.contrib import admin, messages
from django.db.models import QuerySet
from django.http import HttpRequest

from inventory.acting import ActError
from inventory.models import Category, Maker, Part, Place
from kits import admin_rows as rows
from kits import forms, models, releasing, revising, surveying
from kits.admin_rows import DRAFT, is_open, revision_of
from kits.models import Slot, TemplateRevision

if TYPE_CHECKING:
    _Admin = admin.ModelAdmin[Any]
else:
    _Admin = admin.ModelAdmin

admin.site.site_header = admin.site.site_title = "Shimwright: the catalogue desk"
admin.site.index_title = "Engines, parts and kit templates"

READ_ONLY = (
    "This belongs to a revision that was released. It never changes, because kits and quotes refer to it: "
    "make a new revision of the template and change that."
)


class _DraftAdmin(_Admin):
    """A page of something that belongs to a revision."""

    def has_change_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return is_open(obj) and super().has_change_permission(request, obj)

    def has_delete_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return is_open(obj) and super().has_delete_permission(request, obj)

    def get_inlines(self, request: HttpRequest, obj: Any) -> Any:
        """Once it is saved: its rows choose among the slots of its revision."""
        return super().get_inlines(request, obj) if obj is not None else []

    def get_form(self, request: HttpRequest, obj: Any = None, change: bool = False, **kwargs: Any) -> Any:
        form = super().get_form(request, obj, change, **kwargs)
        drafts = {"revision": TemplateRevision.objects.filter(state=DRAFT)}
        own = Slot.objects.filter(revision=revision_of(obj)) if obj else Slot.objects.none()
        choices: dict[str, QuerySet[Any]] = {**drafts, "open_slot": own}
        choices["slot"] = Slot.objects.filter(revision__state=DRAFT).select_related("revision__template")
        for name, field in form.base_fields.items():
            if name in choices:
                field.queryset = choices[name]  # type: ignore[attr-defined]  # the three are model choices
        return form

    def render_change_form(
        self, request: HttpRequest, context: dict[str, Any], *args: Any, **kwargs: Any
    ) -> Any:
        if not is_open(kwargs.get("obj")):
            messages.info(request, READ_ONLY)
        return super().render_change_form(request, context, *args, **kwargs)


@admin.register(models.EngineFamily)
class EngineFamilyAdmin(_Admin):
    list_display = ("code", "maker", "name")


@admin.register(models.Engine)
class EngineAdmin(_Admin):
    list_display = ("code", "family", "name", "built_from", "built_to")
    list_filter = ("family",)
    search_fields = ("code", "name", "family__name")
    list_select_related = ("family",)
    inlines = (rows.AttributeInline, rows.EngineFeatureInline, rows.OriginalPartInline)


@admin.register(models.FeatureKind)
class FeatureKindAdmin(_Admin):
    list_display = ("code", "name", "quantity", "unit")
    search_fields = ("code", "name")


@admin.register(Part)
class PartAdmin(_Admin):
    list_display = ("number", "maker", "name", "category", "price", "standing", "tracking")
    list_filter = ("category", "maker", "standing")
    search_fields = ("number", "key", "name", "alternate_numbers__key")
    list_select_related = ("maker", "category")
    inlines = (
        rows.PartFeatureInline,
        rows.AlternateNumberInline,
        rows.SupersessionInline,
        rows.OfferInline,
        rows.TargetInline,
        rows.MakeupInline,
    )

    def get_readonly_fields(self, request: HttpRequest, obj: Any = None) -> Any:
        """How a part costs is settled with its first movement: what is on hand is valued by it."""
        fixed = ("costing",) if obj is not None and obj.movements.exists() else ()
        return (*super().get_readonly_fields(request, obj), *fixed)


admin.site.register(Maker, list_display=("code", "name"))
admin.site.register(Category, list_display=("code", "name"))
admin.site.register(
    Place, list_display=("code", "kind", "hall", "aisle", "bay", "level"), list_filter=("kind", "hall")
)


@admin.register(models.ShopWork)
class ShopWorkAdmin(_Admin):
    list_display = ("code", "name", "category", "feature", "lowers", "price", "minutes", "done_by")
    form = forms.ShopWorkForm


@admin.register(models.KitTemplate)
class KitTemplateAdmin(_Admin):
    list_display = ("code", "name")
    search_fields = ("code", "name")


@admin.register(TemplateRevision)
class RevisionAdmin(_DraftAdmin):
    list_display = ("template", "number", "state", "released_at", "released_by")
    list_filter = ("state", "template")
    list_select_related = ("template", "released_by")
    readonly_fields = ("state", "released_at", "released_by")
    filter_horizontal = ("engines",)
    inlines = (rows.SlotInline, rows.CheckInline, rows.RuleInline, rows.StepInline)
    actions = ("survey", "release", "make_new_revision")

    @admin.action(description="Survey: what no kit ever uses, on any engine", permissions=["view"])
    def survey(self, request: HttpRequest, revisions: QuerySet[TemplateRevision]) -> None:
        """It compiles every engine's network: some seconds, the first time."""
        for revision in revisions:
            said = surveying.survey(revision).said
            for sentence in said or ("every engine has a whole kit, and nothing is idle.",):
                self.message_user(request, f"{revision}: {sentence}", messages.INFO)

    @admin.action(description="Release: new kits are opened on it", permissions=["change"])
    def release(self, request: HttpRequest, revisions: QuerySet[TemplateRevision]) -> None:
        """By the act, which says what stands in the way."""
        for revision in revisions:
            try:
                releasing.release(_user(request), revision)
            except ActError as error:
                for problem in error.details.get("problems", [error.message]):
                    self.message_user(request, f"{revision}: {problem}", messages.ERROR)
            else:
                self.message_user(request, f"{revision} is released.", messages.SUCCESS)

    @admin.action(description="Make a new revision: a draft with the same contents", permissions=["add"])
    def make_new_revision(self, request: HttpRequest, revisions: QuerySet[TemplateRevision]) -> None:
        for revision in revisions:
            try:
                made = revising.revise(_user(request), revision)
            except ActError as error:
                self.message_user(request, error.message, messages.ERROR)
            else:
                self.message_user(request, f"{made} is a draft with the contents of {revision}.")


def _user(request: HttpRequest) -> Any:
    return request.user


@admin.register(Slot)
class SlotAdmin(_DraftAdmin):
    list_display = ("name", "revision", "position", "required", "quantity")
    list_filter = ("revision",)
    list_select_related = ("revision__template",)
    inlines = (rows.CandidateInline, rows.SubstitutionInline)


@admin.register(models.Candidate)
class CandidateAdmin(_DraftAdmin):
    list_display = ("__str__", "slot", "rank", "is_default")
    list_select_related = ("slot__revision__template",)
    form = forms.CandidateForm
    inlines = (rows.CandidatePartInline,)


@admin.register(models.Rule)
class RuleAdmin(_DraftAdmin):
    list_display = ("code", "revision", "kind", "text")
    list_filter = ("revision",)
    list_select_related = ("revision__template",)
    inlines = (rows.RuleTermInline,)


@admin.register(models.Check)
class CheckAdmin(_DraftAdmin):
    list_display = ("code", "revision", "kind", "name")
    list_filter = ("revision",)
    list_select_related = ("revision__template",)
    form = forms.CheckForm
    inlines = (rows.CheckTermInline,)

    def get_fields(self, request: HttpRequest, obj: Any = None) -> Any:  # noqa: ARG002  # of every check alike
        """The fit beside the limits that it stands for; it is only typed, so a released check shows none."""
        limits = ("at_least", "at_most", "as_fit") if is_open(obj) else ("at_least", "at_most")
        return ("revision", "code", "kind", "name", *limits, "settings", "open_slot", "caution")
