"""Suggestions, late lines, differences and letters to suppliers."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from inventory.buying import LateLine
from inventory.models import Difference, Part, Reminder, Supplier, SupplierMail
from inventory.suggesting import SuggestedLine

from .buying import WantedLineSerializer, once_each
from .common import MOST_AT_ONCE, CodeField, IdsField, PartBrief, Price


class SuggestedLineSerializer(serializers.Serializer[SuggestedLine]):
    part = PartBrief()
    quantity = serializers.IntegerField(help_text="As many as orders to the supplier should hold in all.")
    drafted = serializers.IntegerField(help_text="Of these, in orders that have not gone yet.")
    price = Price()
    why = serializers.CharField()
    alerts = serializers.SerializerMethodField()

    @extend_schema_field(serializers.ListField(child=serializers.IntegerField()))
    def get_alerts(self, line: SuggestedLine) -> list[int]:
        return [alert.pk for alert in line.alerts]


class SuggestionSerializer(serializers.Serializer[Any]):
    supplier = serializers.SlugField(source="supplier.code")
    send_by = serializers.DateField(help_text="Sent later, something runs out before it comes.")
    why = serializers.CharField(help_text="What decides the day.")
    lines = SuggestedLineSerializer(many=True)
    total = Price(help_text="Of the goods.")
    carriage = Price()
    below_least = Price(help_text="Missing until the supplier takes the order.")
    to_free_carriage = Price(help_text="Missing until they bring it for nothing.")


class DraftSuggestedSerializer(serializers.Serializer[dict[str, Any]]):
    supplier = CodeField[Supplier](queryset=Supplier.objects.all())
    lines = WantedLineSerializer(many=True, allow_empty=False, max_length=MOST_AT_ONCE)  # type: ignore[call-arg]  # the list's

    def validate_lines(self, lines: list[dict[str, Any]]) -> list[dict[str, Any]]:
        return once_each(lines, "part")


class ChangeLineSerializer(serializers.Serializer[dict[str, Any]]):
    quantity = serializers.IntegerField(min_value=0, max_value=1_000_000, help_text="0 drops the line.")


class ApproveSerializer(serializers.Serializer[dict[str, Any]]):
    orders = IdsField(help_text="Ids of drafts: all of them are approved, or none.")


class SendSerializer(serializers.Serializer[dict[str, Any]]):
    although_small = serializers.BooleanField(
        default=False, help_text="The supplier has agreed to less than their least order."
    )


class WhyNoMoreSerializer(serializers.Serializer[dict[str, Any]]):
    reason = serializers.CharField(max_length=200)


class ReportSerializer(serializers.Serializer[dict[str, Any]]):
    quantity = serializers.IntegerField(min_value=1, max_value=1_000_000)
    what = serializers.CharField(max_length=200, help_text="What came instead.")


class HowSerializer(serializers.Serializer[dict[str, Any]]):
    how = serializers.CharField(max_length=200)


class MaybeHowSerializer(serializers.Serializer[dict[str, Any]]):
    how = serializers.CharField(max_length=150, default="", allow_blank=True)


class RemindSerializer(serializers.Serializer[dict[str, Any]]):
    lines = IdsField(help_text="Ids of lines of purchase orders.")
    note = serializers.CharField(max_length=200)


class DiscardedSerializer(serializers.Serializer[dict[str, Any]]):
    discarded = serializers.CharField(help_text="The number of the order that is gone.")


class DifferenceSerializer(serializers.ModelSerializer[Difference]):
    order = serializers.CharField(source="line.order.number", read_only=True)
    supplier = serializers.CharField(source="line.order.supplier.code", read_only=True)
    line = serializers.IntegerField(source="line_id", read_only=True)
    part = PartBrief(source="line.part")
    by = serializers.CharField(source="by.username", read_only=True)
    settled_by = serializers.CharField(source="settled_by.username", default=None, read_only=True)

    class Meta:
        model = Difference
        fields = ("id", "order", "supplier", "line", "part", "kind", "quantity", "note", "at", "by",
                  "settled_at", "settled_by", "settled_how")  # fmt: skip


class ReminderSerializer(serializers.ModelSerializer[Reminder]):
    order = serializers.CharField(source="line.order.number", read_only=True)
    line = serializers.IntegerField(source="line_id", read_only=True)

    class Meta:
        model = Reminder
        fields = ("id", "order", "line", "at", "note")


class LateLineSerializer(serializers.Serializer[LateLine]):
    id = serializers.IntegerField(source="line.pk")
    order = serializers.CharField(source="line.order.number")
    part: serializers.Serializer[Part] = PartBrief(source="line.part")
    left = serializers.IntegerField(help_text="Pieces that are still to come.")
    due = serializers.DateField(source="line.due")
    days = serializers.IntegerField(help_text="Since it was due.")
    asked_at = serializers.DateTimeField(source="asked.at", default=None)


class LateLinesSerializer(serializers.Serializer[Any]):
    supplier = serializers.SlugField(source="supplier.code")
    lines = LateLineSerializer(many=True)


class SupplierMailSerializer(serializers.ModelSerializer[SupplierMail]):
    order = serializers.CharField(source="order.number", read_only=True)

    class Meta:
        model = SupplierMail
        fields = ("id", "order", "about", "to", "subject", "state", "made_at", "tried_at", "tries", "answer")
