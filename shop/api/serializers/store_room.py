"""What is done in the store room: carrying, making up, taking apart, charges that come late."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from rest_framework import serializers

from inventory.models import LateCharge, Lot, Movement, Part, Place, Receipt

from .common import MOST_AT_ONCE, CodeField, IdField, PartBrief, Price


class _OfAPart(serializers.Serializer[dict[str, Any]]):
    part = IdField[Part](queryset=Part.objects.all())
    quantity = serializers.IntegerField(min_value=1, max_value=1_000_000)
    reference = serializers.CharField(max_length=60, allow_blank=True, default="")


class _OfALot(_OfAPart):
    lot = serializers.CharField(
        max_length=40, allow_blank=True, default="", help_text="Lot or serial of a tracked part."
    )

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        """The lot itself in place of its code."""
        code = attrs["lot"].strip()
        lot = Lot.objects.filter(part=attrs["part"], code=code).first() if code else None
        if code and lot is None:
            raise serializers.ValidationError({"lot": [f"There is no {code} of this part."]})
        return attrs | {"lot": lot}


class PutAwaySerializer(_OfALot):
    origin = CodeField[Place](queryset=Place.objects.all())
    destination = CodeField[Place](queryset=Place.objects.all())


class MakeUpSerializer(_OfAPart):
    place = CodeField[Place](queryset=Place.objects.all(), help_text="Where the made-up pieces go.")
    lots = serializers.ListField(
        child=serializers.CharField(max_length=40),
        default=list,
        max_length=MOST_AT_ONCE,
        help_text="Of a made-up part that is tracked: its lot, or the serial of each piece.",
    )
    work_cost = Price(min_value=Decimal(0), default=Decimal(0), help_text="Of all pieces together.")


class CameOutSerializer(serializers.Serializer[dict[str, Any]]):
    part = IdField[Part](queryset=Part.objects.all())
    lots = serializers.ListField(child=serializers.CharField(max_length=40), max_length=MOST_AT_ONCE)


class TakeApartSerializer(_OfALot):
    place = CodeField[Place](queryset=Place.objects.all(), help_text="Where the made-up pieces lie.")
    to_place = CodeField[Place](queryset=Place.objects.all(), help_text="Where the components go.")
    components = CameOutSerializer(
        many=True, default=list, help_text="Lots or serials of tracked components, where there is a doubt."
    )


class BookedSerializer(serializers.ModelSerializer[Movement]):
    part = PartBrief()
    lot = CodeField[Lot](read_only=True, allow_null=True)
    origin = CodeField[Place](read_only=True)
    destination = CodeField[Place](read_only=True)

    class Meta:
        model = Movement
        fields = ("id", "at", "act", "part", "quantity", "lot", "origin", "destination", "reference")


class WriteLateChargeSerializer(serializers.Serializer[dict[str, Any]]):
    receipt = IdField[Receipt](queryset=Receipt.objects.all())
    amount = Price()
    reason = serializers.CharField(max_length=200)


class LateChargeSerializer(serializers.ModelSerializer[LateCharge]):
    part = PartBrief()
    lot = CodeField[Lot](read_only=True, allow_null=True)

    class Meta:
        model = LateCharge
        fields = ("id", "at", "receipt", "part", "lot", "absorbed", "spent", "reason")
