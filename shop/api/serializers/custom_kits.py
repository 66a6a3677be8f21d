"""Custom kits: opening, swapping, candidates, verdict and expansion."""

from __future__ import annotations

from functools import cached_property
from typing import Any

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from kits.models import CustomKit, Engine, Fill, FillPart, KitTemplate, Substitution

from .common import CodeField, PartBrief, Price, VerdictField
from .features import FeatureSerializer
from .whole_kits import ThroughSerializer


class OpenKitSerializer(serializers.Serializer[dict[str, Any]]):
    template = CodeField[KitTemplate](queryset=KitTemplate.objects.all())
    engine = CodeField[Engine](queryset=Engine.objects.all())
    note = serializers.CharField(max_length=200, allow_blank=True, default="")


class SwapSerializer(serializers.Serializer[dict[str, Any]]):
    """`version` is the kit's version as last read; with it two screens cannot overwrite each other."""

    slot = serializers.CharField(help_text="The slot's code.")
    key = serializers.CharField(help_text="A candidate's key, as /candidates/ lists it.")
    own = serializers.DictField(
        child=serializers.CharField(max_length=60),
        default=dict,
        help_text="For the customer's own part: feature kind to size, such as '19.05 mm' or '25 H7'.",
    )
    agreed = serializers.CharField(max_length=200, allow_blank=True, default="")
    version = serializers.IntegerField(min_value=1, allow_null=True, default=None)


class FillPartSerializer(serializers.ModelSerializer[FillPart]):
    part = PartBrief()

    class Meta:
        model = FillPart
        fields = ("part", "quantity")


class FillSerializer(serializers.ModelSerializer[Fill]):
    slot = serializers.CharField(source="slot.code")
    name = serializers.CharField(source="slot.name")
    parts = FillPartSerializer(many=True)
    own_features = FeatureSerializer(many=True)

    class Meta:
        model = Fill
        fields = ("slot", "name", "how", "chosen", "agreed", "parts", "own_features")


class KitBriefSerializer(serializers.ModelSerializer[CustomKit]):
    number = serializers.CharField(read_only=True)
    template = serializers.CharField(source="revision.template.code")
    revision = serializers.IntegerField(source="revision.number")
    engine = serializers.CharField(source="engine.code")
    made_by = serializers.CharField(source="made_by.username")

    class Meta:
        model = CustomKit
        fields: tuple[str, ...] = (
            "id",
            "number",
            "template",
            "revision",
            "engine",
            "made_by",
            "made_at",
            "version",
            "note",
        )


class KitSerializer(KitBriefSerializer):
    fills = FillSerializer(many=True)

    class Meta(KitBriefSerializer.Meta):
        fields = (*KitBriefSerializer.Meta.fields, "fills")


class OptionSerializer(serializers.Serializer[Any]):
    """One way to fill a slot, with what it alone does to fit, price and date, and the whole kits through it.

    The context has the slot's `through` by key.
    """

    key = serializers.CharField()
    label = serializers.CharField()  # type: ignore[assignment]  # a field of ours
    how = serializers.ChoiceField(Fill.How.choices)
    parts = serializers.SerializerMethodField()
    verdict = VerdictField()
    reasons = serializers.ListField(child=serializers.CharField())
    price_difference = Price()
    agreement = serializers.ChoiceField(Substitution.Agreement.choices, allow_blank=True)
    free = serializers.IntegerField(allow_null=True)
    ready_on = serializers.DateField(allow_null=True)
    is_current = serializers.BooleanField()
    is_default = serializers.BooleanField()
    superseded_by = serializers.CharField(allow_blank=True)
    whole_kit = serializers.SerializerMethodField()

    def get_parts(self, option: Any) -> list[dict[str, int]]:
        return [{"id": part_id, "quantity": quantity} for part_id, quantity in option.parts]

    @extend_schema_field(ThroughSerializer)
    def get_whole_kit(self, option: Any) -> Any:
        return self._through.to_representation(self.context["through"][option.key])

    @cached_property
    def _through(self) -> ThroughSerializer:
        """One for all: making a serializer costs more than what it says of a candidate."""
        return ThroughSerializer()


class SlotOptionsSerializer(serializers.Serializer[Any]):
    """A slot and what may fill it. The context has `through` by slot and key."""

    code = serializers.CharField()
    name = serializers.CharField()
    required = serializers.BooleanField()  # type: ignore[assignment]  # a field of ours
    quantity = serializers.IntegerField()
    never_reuse = serializers.CharField(allow_blank=True)
    current = serializers.CharField()
    options = serializers.SerializerMethodField()

    @extend_schema_field(OptionSerializer(many=True))
    def get_options(self, slot: Any) -> Any:
        self._through["through"] = self.context["through"][slot.code]
        return [self._option.to_representation(option) for option in slot.options]

    @cached_property
    def _option(self) -> OptionSerializer:
        return OptionSerializer(context=self._through)

    @cached_property
    def _through(self) -> dict[str, Any]:
        return {}


class RuleFindingSerializer(serializers.Serializer[Any]):
    code = serializers.CharField()
    kind = serializers.CharField()
    verdict = VerdictField()
    text = serializers.CharField()


class FindingSerializer(serializers.Serializer[Any]):
    code = serializers.CharField()
    title = serializers.CharField()
    verdict = VerdictField()
    reason = serializers.CharField()
    figures = serializers.SerializerMethodField(help_text="Result, limits, terms, work and what to measure.")

    def get_figures(self, finding: Any) -> dict[str, Any]:
        figures: dict[str, Any] = finding.as_dict()
        return figures


class JudgementSerializer(serializers.Serializer[Any]):
    """The verdict of the whole kit, the worst of all that was found, with every reason."""

    verdict = VerdictField()
    reasons = serializers.ListField(child=serializers.CharField())
    findings = FindingSerializer(many=True)
    rules = RuleFindingSerializer(many=True)
    notes = serializers.ListField(child=serializers.CharField())


class ExpandedLineSerializer(serializers.Serializer[Any]):
    slot_code = serializers.CharField()
    slot_name = serializers.CharField()
    part = PartBrief()
    quantity = serializers.IntegerField()
    unit_price = Price()


class ExpandedWorkSerializer(serializers.Serializer[Any]):
    name = serializers.CharField()
    part_label = serializers.CharField()
    amount = serializers.CharField()
    target = serializers.CharField()
    price = Price()
    minutes = serializers.IntegerField()
    done_by = serializers.CharField()
    text = serializers.CharField()


class ExpandedStepSerializer(serializers.Serializer[Any]):
    sequence = serializers.IntegerField()
    text = serializers.CharField()
    way_round = serializers.CharField(allow_blank=True)
    torque = serializers.CharField(allow_blank=True, allow_null=True)
    torque_source = serializers.CharField(allow_blank=True)
    caution = serializers.CharField(allow_blank=True)
    slot_code = serializers.CharField(allow_blank=True, allow_null=True)


class ExpansionSerializer(serializers.Serializer[Any]):
    """What the kit comes to: parts, shop work, steps, cautions and prices."""

    lines = ExpandedLineSerializer(many=True)
    works = ExpandedWorkSerializer(many=True)
    adjustments = serializers.SerializerMethodField()
    steps = ExpandedStepSerializer(many=True)
    cautions = serializers.ListField(child=serializers.CharField())
    never_reuse = serializers.SerializerMethodField()
    standard_price = Price()
    price = Price()
    judgement = JudgementSerializer()

    def get_adjustments(self, expansion: Any) -> list[dict[str, str]]:
        return [{"text": text, "price": str(price)} for text, price in expansion.adjustments]

    def get_never_reuse(self, expansion: Any) -> list[dict[str, str]]:
        return [{"slot": slot, "why": why} for slot, why in expansion.never_reuse]
