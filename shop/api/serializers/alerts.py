"""Alerts, and who suffers from what they warn of."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from inventory.models import Alert, Supplier
from shop.suffering import Suffering

from .common import CodeField, IdsField, PartBrief, Price


class WaitingSerializer(serializers.Serializer[dict[str, Any]]):
    id = serializers.IntegerField()
    number = serializers.CharField(help_text="As printed: S00012 is an order, Q00012 a quote.")
    expected_on = serializers.DateField(allow_null=True, help_text="As things stand; null: nobody can say.")


class SufferingSerializer(serializers.Serializer[dict[str, Any]]):
    kits = serializers.ListField(
        child=serializers.CharField(), help_text="That the part goes into; those that sell most first."
    )
    orders = WaitingSerializer(many=True)
    quotes = WaitingSerializer(many=True)


class AlertSerializer(serializers.ModelSerializer[Alert]):
    """`context["suffering"]` is who suffers, by the id of the alert."""

    part = PartBrief()
    supplier = CodeField[Supplier](read_only=True, allow_null=True)
    cost_to_wait = Price(read_only=True, help_text="What another day of waiting costs.")
    suffering = serializers.SerializerMethodField()

    class Meta:
        model = Alert
        fields = (
            "id",
            "part",
            "cause",
            "reason",
            "quantity",
            "supplier",
            "purchase_line",
            "order_by",
            "hits_on",
            "cost_to_wait",
            "raised_at",
            "updated_at",
            "cleared_at",
            "snoozed_until",
            "snooze_reason",
            "suffering",
        )

    @extend_schema_field(SufferingSerializer)
    def get_suffering(self, alert: Alert) -> dict[str, Any]:
        found: Suffering = self.context["suffering"][alert.pk]
        return {
            "kits": list(found.kits),
            "orders": [_waits(order.pk, order.number, day) for order, day in found.orders],
            "quotes": [_waits(quote.pk, quote.number, day) for quote, day in found.quotes],
        }


class SnoozeSerializer(serializers.Serializer[dict[str, Any]]):
    until = serializers.DateField(help_text="A day after today; on it the alert is heard again.")
    reason = serializers.CharField(max_length=200)


class OrderAlertsSerializer(serializers.Serializer[dict[str, Any]]):
    alerts = IdsField(help_text="Ids of open alerts.")


def _waits(pk: int, number: str, day: Any) -> dict[str, Any]:
    return {"id": pk, "number": number, "expected_on": day.isoformat() if day else None}
