"""Customers, quotes, orders and parcels."""

from __future__ import annotations

from typing import Any

from django.utils import timezone
from rest_framework import serializers

from inventory.models import Lot, Reservation
from kits.models import CustomKit
from shop.models import AsBuilt, Customer, Order, OrderKit, Parcel, Quote, QuoteKit, QuoteLine

from .common import MOST_AT_ONCE, CodeField, IdField, PartBrief, Price, VerdictField
from .returns import ReturnSerializer


class CustomerSerializer(serializers.ModelSerializer[Customer]):
    class Meta:
        model = Customer
        fields = ("id", "name", "email", "phone", "address")


class CustomerBriefSerializer(serializers.ModelSerializer[Customer]):
    class Meta:
        model = Customer
        fields = ("id", "name")


class QuotedKitSerializer(serializers.Serializer[dict[str, Any]]):
    kit = IdField[CustomKit](queryset=CustomKit.objects.all())
    quantity = serializers.IntegerField(min_value=1, max_value=1000, default=1)


class MakeQuoteSerializer(serializers.Serializer[dict[str, Any]]):
    customer = IdField[Customer](queryset=Customer.objects.all())
    kits = QuotedKitSerializer(many=True, allow_empty=False, max_length=MOST_AT_ONCE)  # type: ignore[call-arg]  # the list's
    channel = serializers.ChoiceField(Quote.Channel.choices, default=Quote.Channel.PHONE)
    days = serializers.IntegerField(
        min_value=1, max_value=365, allow_null=True, default=None, help_text="Valid for so long."
    )
    wanted_on = serializers.DateField(
        allow_null=True, default=None, help_text="The customer does not want it before; null: at once."
    )


class HoldSerializer(serializers.Serializer[dict[str, Any]]):
    hours = serializers.IntegerField(min_value=1, max_value=24 * 60, allow_null=True, default=None)


class ReservationSerializer(serializers.ModelSerializer[Reservation]):
    """What is kept; `live` goes by the clock, whether or not a lapsed hold was swept up yet."""

    live = serializers.SerializerMethodField()

    class Meta:
        model = Reservation
        fields = ("kind", "state", "until", "live")

    def get_live(self, reservation: Reservation) -> bool:
        kept = reservation.state == Reservation.State.KEPT
        return kept and (reservation.until is None or reservation.until > timezone.now())


class QuoteLineSerializer(serializers.ModelSerializer[QuoteLine]):
    part = PartBrief(allow_null=True)
    unit_price = Price()

    class Meta:
        model = QuoteLine
        fields = ("position", "kind", "slot_code", "text", "part", "quantity", "unit_price")


class QuoteKitSerializer(serializers.ModelSerializer[QuoteKit]):
    """`record` is what the quote was made with: verdicts, reasons, steps and cautions of that moment."""

    kit = serializers.CharField(source="kit.number")
    verdict = VerdictField()
    price = Price()
    standard_price = Price()
    difference = Price(read_only=True)
    lines = QuoteLineSerializer(many=True)
    record = serializers.JSONField()

    class Meta:
        model = QuoteKit
        fields = (
            "id",
            "kit",
            "title",
            "quantity",
            "verdict",
            "standard_price",
            "price",
            "difference",
            "lines",
            "record",
        )


class QuoteBriefSerializer(serializers.ModelSerializer[Quote]):
    number = serializers.CharField(read_only=True)
    customer = CustomerBriefSerializer()
    made_by = serializers.CharField(source="made_by.username")
    net = Price()
    tax = Price()
    gross = Price()

    class Meta:
        model = Quote
        fields: tuple[str, ...] = (
            "id",
            "number",
            "customer",
            "state",
            "channel",
            "made_at",
            "made_by",
            "valid_until",
            "wanted_on",
            "currency",
            "tax_percent",
            "net",
            "tax",
            "gross",
        )


class QuoteSerializer(QuoteBriefSerializer):
    replaced_by = serializers.CharField(source="replaced_by.number", allow_null=True, default=None)
    reservation = ReservationSerializer(allow_null=True)
    kits = QuoteKitSerializer(many=True)

    class Meta(QuoteBriefSerializer.Meta):
        fields = (
            *QuoteBriefSerializer.Meta.fields,
            "replaced_by",
            "lost_why",
            "lost_note",
            "reservation",
            "kits",
        )


class OrderBriefSerializer(serializers.ModelSerializer[Order]):
    number = serializers.CharField(read_only=True)
    quote = serializers.CharField(source="quote.number")
    customer = CustomerBriefSerializer()

    class Meta:
        model = Order
        fields: tuple[str, ...] = (
            "id",
            "number",
            "quote",
            "customer",
            "state",
            "accepted_at",
            "promised_on",
            "expected_on",
        )


class AsBuiltSerializer(serializers.ModelSerializer[AsBuilt]):
    part = PartBrief()
    lot = CodeField[Lot](read_only=True, allow_null=True)

    class Meta:
        model = AsBuilt
        fields = ("part", "lot", "quantity")


class OrderKitSerializer(serializers.ModelSerializer[OrderKit]):
    title = serializers.CharField(source="quote_kit.title")
    as_built = AsBuiltSerializer(many=True)

    class Meta:
        model = OrderKit
        fields = ("id", "title", "ordinal", "as_built")


class ParcelSerializer(serializers.ModelSerializer[Parcel]):
    number = serializers.CharField(read_only=True)
    order = serializers.CharField(source="order.number")

    class Meta:
        model = Parcel
        fields = ("id", "number", "order", "packed_at", "shipped_at", "carrier", "tracking")


class OrderSerializer(OrderBriefSerializer):
    """With the address, for whoever packs it, and what really went into each kit."""

    address = serializers.CharField(source="customer.address")
    reservation = ReservationSerializer(allow_null=True)
    kits = OrderKitSerializer(many=True)
    parcels = ParcelSerializer(many=True)
    returns = ReturnSerializer(many=True)

    class Meta(OrderBriefSerializer.Meta):
        fields = (*OrderBriefSerializer.Meta.fields, "address", "reservation", "kits", "parcels", "returns")


class PackSerializer(serializers.Serializer[dict[str, Any]]):
    lots = serializers.DictField(
        child=serializers.ListField(child=serializers.CharField(max_length=40)),
        default=dict,
        help_text="Of tracked parts: part number to the lots or serials scanned again at the bench.",
    )


class ShipSerializer(serializers.Serializer[dict[str, Any]]):
    carrier = serializers.CharField(max_length=60)
    tracking = serializers.CharField(max_length=60, allow_blank=True, default="")
