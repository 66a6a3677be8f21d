"""Stock by part: where it lies, who keeps it, what can be promised, and the movements behind it."""

from __future__ import annotations

from datetime import date
from typing import Any

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from inventory.history import MOST_ON_A_PAGE, Entry
from inventory.models import Balance, Lot, Movement, Place, Reservation
from inventory.planning import Available

from .common import CodeField, PartBrief
from .selling import CustomerBriefSerializer


class Cost(serializers.DecimalField):
    """Money as a string with four decimals: a piece may cost less than a cent."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(max_digits=14, decimal_places=4, read_only=True, allow_null=True, **kwargs)


class ForBuyers(Cost):
    """A cost as those see it who buy; null to others."""

    def to_representation(self, value: Any) -> Any:
        return super().to_representation(value) if self.context.get("sees_costs") else None


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


class KeeperSerializer(serializers.Serializer[Any]):
    """Pieces kept for a quote or an order, from stock or from the purchase order that is named."""

    kind = serializers.ChoiceField(Reservation.Kind.choices, source="line.reservation.kind")
    reference = serializers.CharField(source="line.reservation.reference")
    order = serializers.CharField(source="order.number", allow_null=True, default=None)
    quote = serializers.CharField(source="quote.number", allow_null=True, default=None)
    customer = CustomerBriefSerializer(allow_null=True)
    quantity = serializers.IntegerField(source="line.quantity")
    purchase_order = serializers.CharField(
        source="line.purchase_line.order.number", allow_null=True, default=None
    )
    purchase_line = serializers.IntegerField(source="line.purchase_line_id", allow_null=True)
    until = serializers.DateTimeField(
        source="line.reservation.until", allow_null=True, help_text="When a hold ends by itself."
    )
    wanted_on = serializers.DateField(source="line.reservation.wanted_on", allow_null=True)


class ComingSerializer(serializers.Serializer[Any]):
    """What a sent purchase order still brings."""

    purchase_order = serializers.CharField(source="line.order.number")
    purchase_line = serializers.IntegerField(source="line.pk")
    supplier = serializers.CharField(source="line.order.supplier.name")
    quantity = serializers.IntegerField(source="arrival.quantity", help_text="Still to come.")
    unreserved = serializers.IntegerField(source="left", help_text="Of these, kept for nobody.")
    due = serializers.DateField(source="line.due")
    expected = serializers.DateField(source="on", help_text="The day to count on: due, and usually late by.")


class StepSerializer(serializers.Serializer[Any]):
    since = serializers.DateField()
    quantity = serializers.IntegerField()


class PromiseSerializer(serializers.Serializer[Any]):
    """How many pieces more can be promised for which day, without ordering any."""

    steps = serializers.SerializerMethodField()
    short = serializers.IntegerField(help_text="Promised already, and covered by nothing.")
    short_on = serializers.DateField(allow_null=True)

    @extend_schema_field(StepSerializer(many=True))
    def get_steps(self, promise: Available) -> list[dict[str, Any]]:
        steps: list[tuple[date, int]] = list(zip(promise.days, promise.quantities, strict=True))
        return [{"since": day.isoformat(), "quantity": quantity} for day, quantity in steps]


class StockDetailSerializer(serializers.Serializer[Any]):
    """One part at this moment."""

    balances = BalanceSerializer(many=True)
    keepers = KeeperSerializer(many=True)
    coming = ComingSerializer(many=True)
    promise = PromiseSerializer()
    value = ForBuyers(source="figures.value", help_text="What all on hand cost, landed. For who buys.")
    average_cost = ForBuyers(source="figures.average_cost", help_text="Of one piece on hand. For who buys.")

    def get_fields(self) -> dict[str, Any]:
        """The figures of the list, then what one part has beside them."""
        figures = StockSerializer().get_fields()
        for name, field in figures.items():
            field.source = f"figures.{name}"
        return {**figures, **super().get_fields()}


class HistoryQuerySerializer(serializers.Serializer[dict[str, Any]]):
    """Which movements to show: all that is given has to hold."""

    act = serializers.ChoiceField(Movement.Act.choices, default="")
    place = serializers.CharField(
        default="", max_length=20, help_text="The code of a place it came from or went to."
    )
    lot = serializers.CharField(default="", max_length=40, help_text="The code of a lot, or a serial number.")
    since = serializers.DateField(default=None, help_text="The first day.")
    until = serializers.DateField(default=None, help_text="The last day.")
    reference = serializers.CharField(default="", max_length=60, help_text="Found anywhere in the reference.")
    before = serializers.IntegerField(
        default=None, min_value=1, max_value=10**18, help_text="Only movements older than this one."
    )
    page_size = serializers.IntegerField(default=50, min_value=1, max_value=MOST_ON_A_PAGE)

    def validate(self, asked: dict[str, Any]) -> dict[str, Any]:
        if asked["since"] and asked["until"] and asked["until"] < asked["since"]:
            raise serializers.ValidationError({"until": ["The last day is before the first: exchange them."]})
        return asked


class MovementSerializer(serializers.ModelSerializer[Movement]):
    """A movement that was written just now."""

    origin = CodeField[Place](read_only=True)
    destination = CodeField[Place](read_only=True)
    lot = CodeField[Lot](read_only=True, allow_null=True)
    by = serializers.CharField(source="by.username")

    class Meta:
        model = Movement
        fields = ("id", "at", "act", "quantity", "lot", "origin", "destination", "by", "reference", "reason")


class HistoryEntrySerializer(serializers.Serializer[Entry]):
    """`change` is what it added to what is on hand of the part, `on_hand` what was there after it."""

    id = serializers.IntegerField()
    at = serializers.DateTimeField()
    act = serializers.ChoiceField(Movement.Act.choices)
    quantity = serializers.IntegerField()
    change = serializers.IntegerField()
    on_hand = serializers.IntegerField()
    lot = serializers.CharField(allow_null=True)
    origin = serializers.CharField()
    destination = serializers.CharField()
    by = serializers.CharField()
    reference = serializers.CharField()
    reason = serializers.CharField()
    value = ForBuyers(help_text="What the pieces cost, landed, as they came in or left. For who buys.")
    unit_cost = ForBuyers(help_text="Of one piece. For who buys.")


class HistorySerializer(serializers.Serializer[Any]):
    """`next` leads on to older movements; null at the end."""

    next = serializers.URLField(allow_null=True)
    results = HistoryEntrySerializer(many=True)
