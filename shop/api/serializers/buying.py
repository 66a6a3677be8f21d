"""Purchase orders and receipts."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from inventory.buying import Sum, sum_of
from inventory.models import Part, PurchaseLine, PurchaseOrder, Receipt, ReceiptLine, Supplier

from .common import MOST_AT_ONCE, CodeField, IdField, PartBrief, Price


class PurchaseLineSerializer(serializers.ModelSerializer[PurchaseLine]):
    part = PartBrief()
    price = Price()

    class Meta:
        model = PurchaseLine
        fields = ("id", "part", "quantity", "ordered", "received", "reserved", "price", "due", "first_due")


class PurchaseOrderBriefSerializer(serializers.ModelSerializer[PurchaseOrder]):
    number = serializers.CharField(read_only=True)
    supplier = CodeField[Supplier](read_only=True)
    made_by = serializers.CharField(source="made_by.username")
    approved_by = serializers.CharField(source="approved_by.username", default=None)

    class Meta:
        model = PurchaseOrder
        fields: tuple[str, ...] = ("id", "number", "supplier", "state", "made_at", "send_by", "sent_at",
                                   "made_by", "approved_at", "approved_by")  # fmt: skip


class SumSerializer(serializers.Serializer[Sum]):
    goods = Price()
    carriage = Price()
    total = Price()


class PurchaseOrderSerializer(PurchaseOrderBriefSerializer):
    lines = PurchaseLineSerializer(many=True)
    sum = serializers.SerializerMethodField()

    class Meta(PurchaseOrderBriefSerializer.Meta):
        fields = (*PurchaseOrderBriefSerializer.Meta.fields, "lines", "sum")

    @extend_schema_field(SumSerializer)
    def get_sum(self, order: PurchaseOrder) -> dict[str, Any]:
        """As it was sent, or as it would be today."""
        return dict(SumSerializer(sum_of(order)).data)


class WantedLineSerializer(serializers.Serializer[dict[str, Any]]):
    part = IdField[Part](queryset=Part.objects.all())
    quantity = serializers.IntegerField(min_value=1, max_value=1_000_000)


class WritePurchaseOrderSerializer(serializers.Serializer[dict[str, Any]]):
    supplier = CodeField[Supplier](queryset=Supplier.objects.all())
    lines = WantedLineSerializer(many=True, allow_empty=False, max_length=MOST_AT_ONCE)  # type: ignore[call-arg]  # the list's

    def validate_lines(self, lines: list[dict[str, Any]]) -> list[dict[str, Any]]:
        return once_each(lines, "part")


class SlipSerializer(serializers.Serializer[dict[str, Any]]):
    due = serializers.DateField(help_text="The day that the supplier names now.")
    reason = serializers.CharField(max_length=200)


class ReceivedLineSerializer(serializers.Serializer[dict[str, Any]]):
    line = serializers.IntegerField(min_value=1, help_text="The id of the purchase order's line.")
    quantity = serializers.IntegerField(
        min_value=0, max_value=1_000_000, help_text="What comes into stock, 0 where all is spoilt."
    )
    spoilt = serializers.IntegerField(
        min_value=0, max_value=1_000_000, default=0, help_text="What came beside it and is not fit for use."
    )
    owed = serializers.BooleanField(default=True, help_text="Are the spoilt pieces still to be delivered?")
    lots = serializers.ListField(
        child=serializers.CharField(max_length=40),
        default=list,
        help_text="Of a tracked part: its lot, or the serial of each piece.",
    )


class ReceiveSerializer(serializers.Serializer[dict[str, Any]]):
    delivery_note = serializers.CharField(max_length=60)
    charges = Price(
        min_value=Decimal(0),
        default=Decimal(0),
        help_text="Freight, duty and the like, for all lines.",
    )
    keep_over = serializers.BooleanField(
        default=False, help_text="More came than was ordered, and it is kept."
    )
    remark = serializers.CharField(max_length=200, default="", allow_blank=True)
    lines = ReceivedLineSerializer(many=True, allow_empty=False, max_length=MOST_AT_ONCE)  # type: ignore[call-arg]  # the list's

    def validate_lines(self, lines: list[dict[str, Any]]) -> list[dict[str, Any]]:
        return once_each(lines, "line")


class ReceiptLineSerializer(serializers.ModelSerializer[ReceiptLine]):
    line = serializers.IntegerField(source="purchase_line_id")

    class Meta:
        model = ReceiptLine
        fields = ("line", "quantity")


class ReceiptSerializer(serializers.ModelSerializer[Receipt]):
    order = serializers.CharField(source="order.number")
    lines = ReceiptLineSerializer(many=True)

    class Meta:
        model = Receipt
        fields = ("id", "order", "at", "delivery_note", "charges", "lines")


def once_each(lines: list[dict[str, Any]], name: str) -> list[dict[str, Any]]:
    """The lines, or an error where two of them name the same thing: one would be lost."""
    if len({line[name] for line in lines}) < len(lines):
        raise serializers.ValidationError(f"Name each {name} once, with its whole quantity.")
    return lines
