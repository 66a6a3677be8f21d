"""Engines, parts and kit templates."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from inventory.models import AlternateNumber, Part, Supersession
from kits.models import Engine, EngineAttribute, KitTemplate, Slot, TemplateRevision

from .common import PartBrief, Price
from .features import FeatureSerializer


class EngineSerializer(serializers.ModelSerializer[Engine]):
    maker = serializers.CharField(source="family.maker")
    family = serializers.CharField(source="family.name")

    class Meta:
        model = Engine
        fields: tuple[str, ...] = (
            "id",
            "code",
            "maker",
            "family",
            "name",
            "built_from",
            "built_to",
            "plate",
        )


class AttributeSerializer(serializers.ModelSerializer[EngineAttribute]):
    class Meta:
        model = EngineAttribute
        fields = ("name", "value")


class EngineDetailSerializer(EngineSerializer):
    attributes = AttributeSerializer(many=True)
    features = FeatureSerializer(many=True)

    class Meta(EngineSerializer.Meta):
        fields = (*EngineSerializer.Meta.fields, "attributes", "features")


class AlternateNumberSerializer(serializers.ModelSerializer[AlternateNumber]):
    class Meta:
        model = AlternateNumber
        fields = ("number", "kind")


class PartSerializer(serializers.ModelSerializer[Part]):
    maker = serializers.CharField(source="maker.name")
    category = serializers.CharField(source="category.code")
    price = Price()
    alternate_numbers = AlternateNumberSerializer(many=True)

    class Meta:
        model = Part
        fields: tuple[str, ...] = (
            "id",
            "maker",
            "number",
            "name",
            "category",
            "price",
            "tracking",
            "standing",
            "alternate_numbers",
        )


class SupersessionSerializer(serializers.ModelSerializer[Supersession]):
    part = PartBrief(source="new")

    class Meta:
        model = Supersession
        fields = ("part", "since", "drop_in", "note")


class PartDetailSerializer(PartSerializer):
    features = FeatureSerializer(many=True)
    superseded_by = SupersessionSerializer(allow_null=True, default=None)

    class Meta(PartSerializer.Meta):
        fields = (*PartSerializer.Meta.fields, "note", "features", "superseded_by")


class RevisionBriefSerializer(serializers.ModelSerializer[TemplateRevision]):
    engines = serializers.SlugRelatedField[Engine](slug_field="code", many=True, read_only=True)

    class Meta:
        model = TemplateRevision
        fields: tuple[str, ...] = ("number", "released_at", "hours", "engines")


class SlotSerializer(serializers.ModelSerializer[Slot]):
    class Meta:
        model = Slot
        fields = (
            "code",
            "name",
            "position",
            "required",
            "quantity",
            "own_allowed",
            "reuse_allowed",
            "never_reuse",
        )


class RevisionSerializer(RevisionBriefSerializer):
    slots = SlotSerializer(many=True)

    class Meta(RevisionBriefSerializer.Meta):
        fields = (*RevisionBriefSerializer.Meta.fields, "slots")


class TemplateBriefSerializer(serializers.ModelSerializer[KitTemplate]):
    """`released` is null while no revision is released: no kit can be opened on it."""

    released = serializers.SerializerMethodField()

    class Meta:
        model = KitTemplate
        fields = ("id", "code", "name", "purpose", "released")

    @extend_schema_field(RevisionBriefSerializer(allow_null=True))
    def get_released(self, template: KitTemplate) -> Any:
        return _released(template, RevisionBriefSerializer)


class TemplateDetailSerializer(TemplateBriefSerializer):
    @extend_schema_field(RevisionSerializer(allow_null=True))
    def get_released(self, template: KitTemplate) -> Any:
        return _released(template, RevisionSerializer)


def _released(template: KitTemplate, serializer: type[RevisionBriefSerializer]) -> Any:
    """Of the revisions that the view has fetched: the released one alone."""
    revisions = template.revisions.all()
    return serializer(revisions[0]).data if revisions else None


class InsteadSerializer(serializers.Serializer[dict[str, str]]):
    code = serializers.CharField()
    name = serializers.CharField()


class ConversionSerializer(serializers.Serializer[Any]):
    """Whether a conversion exists for the engine; if not, why not and what there is instead."""

    template = serializers.CharField(source="template.code")
    name = serializers.CharField(source="template.name")
    purpose = serializers.CharField(source="template.purpose")
    possible = serializers.BooleanField()
    reason = serializers.CharField(allow_blank=True)
    instead = InsteadSerializer(allow_null=True)
