"""Walks and picking."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from inventory.models import Lot, Place, Walk, WalkStop
from inventory.walking import GoesBack, Missed

from .common import CodeField, IdsField, PartBrief


class MakeWalkSerializer(serializers.Serializer[dict[str, Any]]):
    orders = IdsField(help_text="Ids of orders that are ready to pick.")


class PickSerializer(serializers.Serializer[dict[str, Any]]):
    scanned = serializers.CharField(max_length=60, help_text="The number on the part, as scanned or typed.")
    quantity = serializers.IntegerField(
        min_value=1, allow_null=True, default=None, help_text="All that is left, if not said."
    )
    lot = serializers.CharField(max_length=40, allow_blank=True, default="")


class PutBackSerializer(serializers.Serializer[dict[str, Any]]):
    quantity = serializers.IntegerField(
        min_value=1, allow_null=True, default=None, help_text="All that was taken, if not said."
    )


class NotThereSerializer(serializers.Serializer[dict[str, Any]]):
    found = serializers.IntegerField(
        min_value=0, default=0, help_text="So many more of them were there, and are taken."
    )


class StopSerializer(serializers.ModelSerializer[WalkStop]):
    part = PartBrief()
    place = CodeField[Place](read_only=True)
    lot = CodeField[Lot](read_only=True, allow_null=True)
    order = serializers.CharField(source="reservation.reference", help_text="What the pieces are for.")
    left = serializers.IntegerField(read_only=True)

    class Meta:
        model = WalkStop
        fields = ("id", "sequence", "place", "part", "lot", "order", "quantity", "picked", "let_go", "left")


class BackSerializer(serializers.Serializer[GoesBack]):
    """So many pieces go back to where the stop took them from."""

    stop = StopSerializer()
    quantity = serializers.IntegerField()


class MissedSerializer(serializers.Serializer[Missed]):
    """What came of it. Without `instead` the order has left the walk, and `back` is to be put back."""

    stop = StopSerializer()
    missing = serializers.IntegerField()
    instead = StopSerializer(
        many=True, help_text="The stops that the walk goes to for them, after its others."
    )
    back = BackSerializer(many=True)


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
