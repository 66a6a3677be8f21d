"""What customers send back."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from inventory.models import Lot, Part
from shop.models import CustomerReturn, ReturnLine

from .common import MOST_AT_ONCE, CodeField, IdField, PartBrief


class BackLineSerializer(serializers.Serializer[dict[str, Any]]):
    part = IdField[Part](queryset=Part.objects.select_related("maker", "home"))
    quantity = serializers.IntegerField(min_value=1, max_value=9_999_999, default=1)
    lot = serializers.CharField(
        max_length=40, allow_blank=True, default="", help_text="The lot or serial number of a tracked part."
    )
    condition = serializers.ChoiceField(ReturnLine.Condition.choices)


class TakeBackSerializer(serializers.Serializer[dict[str, Any]]):
    lines = BackLineSerializer(many=True, allow_empty=False, max_length=MOST_AT_ONCE)  # type: ignore[call-arg]  # the list's
    reason = serializers.CharField(max_length=200)


class ReturnLineSerializer(serializers.ModelSerializer[ReturnLine]):
    part = PartBrief()
    lot = CodeField[Lot](read_only=True, allow_null=True)

    class Meta:
        model = ReturnLine
        fields = ("part", "quantity", "lot", "condition")


class ReturnSerializer(serializers.ModelSerializer[CustomerReturn]):
    number = serializers.CharField(read_only=True)
    by = serializers.CharField(source="by.username")
    lines = ReturnLineSerializer(many=True)

    class Meta:
        model = CustomerReturn
        fields = ("id", "number", "at", "by", "reason", "lines")
