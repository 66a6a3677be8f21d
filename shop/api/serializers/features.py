"""Features as text: lengths in millimetres and inches, ratings with their unit, designations."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from rest_framework import serializers

from kits.models import FeatureKind
from kits.models.features import Feature


class FeatureSerializer(serializers.Serializer[Feature]):
    """A feature and its source; `value` is for people, a length is given in both units besides.

    Needs select_related("kind").
    """

    kind = serializers.CharField(source="kind.code")
    name = serializers.CharField(source="kind.name")
    quantity = serializers.ChoiceField(FeatureKind.Quantity.choices, source="kind.quantity")
    source = serializers.ChoiceField(Feature.Source.choices)  # type: ignore[assignment]  # a field of ours
    value = serializers.SerializerMethodField("written", help_text="'unknown' where nobody has measured it.")
    mm = serializers.SerializerMethodField(help_text="Lowest and highest, exact; null unless a known length.")
    inch = serializers.SerializerMethodField(help_text="The same in inches, rounded outwards.")

    def written(self, feature: Feature) -> str:
        if feature.text or feature.lo is None or feature.hi is None:
            return feature.text or "unknown"
        if feature.kind.quantity == FeatureKind.Quantity.LENGTH:
            assert feature.band is not None
            return feature.band.format()
        return _span(feature, feature.lo, feature.hi)

    def get_mm(self, feature: Feature) -> list[str] | None:
        band = _length(feature)
        return [band.lo.figure("mm"), band.hi.figure("mm")] if band else None

    def get_inch(self, feature: Feature) -> list[str] | None:
        band = _length(feature)
        return [band.lo.figure("in", "down"), band.hi.figure("in", "up")] if band else None


def _length(feature: Feature) -> Any:
    return feature.band if feature.kind.quantity == FeatureKind.Quantity.LENGTH else None


def _span(feature: Feature, lo: int, hi: int) -> str:
    """A count as whole numbers, a rating (kept in thousandths) with its unit."""
    if feature.kind.quantity == FeatureKind.Quantity.RATING:
        ends = [f"{(Decimal(end) / 1000).normalize():f}" for end in (lo, hi)]
    else:
        ends = [str(lo), str(hi)]
    figures = ends[0] if lo == hi else " to ".join(ends)
    return f"{figures} {feature.kind.unit}".strip()
