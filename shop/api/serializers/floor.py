"""Walks and picking."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from inventory.models import Lot, Place, Walk, WalkStop

from .common import CodeField, IdsField, PartBrief


class MakeWalkSerializer(serializers.Serializer[dict[str, Any]]):
    orders = IdsField(help_text="Ids of orders that are ready to pick.")


class PickSerializer(serializers.Serializer[dict[str, Any]]):
    scanned = serializers.CharField(max_length=60, help_text="The number on the part, as scanned or typed.")
    quantity = serializers.IntegerField(
        min_value=1, allow_null=True, default=None, help_text="All that is left, if not said."
    )
    lot = serializers.CharField(max_length=40, allow_blank=True, default="")


class StopSerializer(serializers.ModelSerializer[WalkStop]):
    part = PartBrief()
    place = CodeField[Place](read_only=True)
    lot = CodeField[Lot](read_only=True, allow_null=True)
    order = serializers.CharField(source="reservation.reference", help_text="What the pieces are for.")
    left = serializers.IntegerField(read_only=True)

    class Meta:
        model = WalkStop
        fields = ("id", "sequence", "place", "part", "lot", "order", "quantity", "picked", "left")


class WalkBriefSerializer(serializers.ModelSerializer[Walk]):
    number = serializers.CharField(read_only=True)
    made_by = serializers.CharField(source="made_by.username")

    class Meta:
        model = Walk
        fields: tuple[str, ...] = ("id", "number", "state", "made_at", "made_by", "done_at")


class WalkSerializer(WalkBriefSerializer):
    stops = StopSerializer(many=True)

    class Meta(WalkBriefSerializer.Meta):
        fields = (*WalkBriefSerializer.Meta.fields, "stops")
