"""Stock by part, balances by place, and the movements behind them."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from inventory.models import Balance, Lot, Movement, Place

from .common import CodeField, PartBrief


class StockSerializer(serializers.Serializer[Any]):
    """By the clock: what lapsed holds kept counts as free, swept up or not."""

    part = PartBrief()
    on_hand = serializers.IntegerField()
    held = serializers.IntegerField()
    committed = serializers.IntegerField()
    free = serializers.IntegerField()
    to_come = serializers.IntegerField(help_text="On sent purchase orders, not received yet.")
    next_due = serializers.DateField(allow_null=True)


class BalanceSerializer(serializers.ModelSerializer[Balance]):
    place = CodeField[Place](read_only=True)
    lot = CodeField[Lot](read_only=True, allow_null=True)

    class Meta:
        model = Balance
        fields = ("place", "lot", "quantity", "allotted")


class StockDetailSerializer(StockSerializer):
    balances = BalanceSerializer(many=True)


class MovementSerializer(serializers.ModelSerializer[Movement]):
    origin = CodeField[Place](read_only=True)
    destination = CodeField[Place](read_only=True)
    lot = CodeField[Lot](read_only=True, allow_null=True)
    by = serializers.CharField(source="by.username")

    class Meta:
        model = Movement
        fields = ("id", "at", "act", "quantity", "lot", "origin", "destination", "by", "reference")
