"""What was asked for, line by line and period by period; lost quotes."""

from __future__ import annotations

from typing import Any

from django.utils import timezone
from rest_framework import serializers

from inventory.models import Demand
from shop.models import Quote

from .common import PartBrief
from .selling import QuoteSerializer


class DemandSerializer(serializers.ModelSerializer[Demand]):
    """A return counts up as well: what came back."""

    part = PartBrief()
    first_choice = PartBrief(allow_null=True, help_text="In whose place the part went.")

    class Meta:
        model = Demand
        fields = (
            "id",
            "part",
            "day",
            "quantity",
            "kind",
            "first_choice",
            "one_off",
            "kit",
            "kits",
            "reference",
        )


class OneOffSerializer(serializers.Serializer[dict[str, Any]]):
    one_off = serializers.BooleanField()


class PeriodsQuerySerializer(serializers.Serializer[dict[str, Any]]):
    every = serializers.ChoiceField(["month", "week"], default="month")
    until = serializers.DateField(
        default=timezone.localdate, help_text="The whole periods before this day; today if not given."
    )


class PeriodSerializer(serializers.Serializer[Any]):
    """Pieces in the month or week that begins on `first_day`."""

    first_day = serializers.DateField()
    in_kits = serializers.IntegerField()
    loose = serializers.IntegerField()
    work = serializers.IntegerField(help_text="Into kits that were made up for the shelf.")
    by_month = serializers.IntegerField(help_text="From before sales were kept one by one.")
    came_back = serializers.IntegerField(help_text="Of what went out in this period, whenever it came back.")
    lost = serializers.IntegerField(help_text="Asked for and not had.")
    one_off = serializers.IntegerField(help_text="Of all, in large orders that will not come again.")
    stand_in = serializers.IntegerField(help_text="Of all, in the place of another part.")
    asked_for = serializers.IntegerField(help_text="All of it, less what came back.")


class LoseSerializer(serializers.Serializer[dict[str, Any]]):
    why = serializers.CharField(max_length=20, help_text=f"One of {', '.join(Quote.LostFor.values)}.")
    note = serializers.CharField(max_length=200, allow_blank=True, default="")


class MissedPartSerializer(serializers.ModelSerializer[Demand]):
    """A part that could not be had in time, and how many were wanted of it."""

    part = PartBrief()

    class Meta:
        model = Demand
        fields = ("part", "quantity")


class LostSerializer(serializers.Serializer[dict[str, Any]]):
    quote = QuoteSerializer()
    missed = MissedPartSerializer(many=True, help_text="What could not be had in time: it counts as demand.")
