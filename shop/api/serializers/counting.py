"""Count rounds and corrections. A line shows what was found, and what should be there, once it is counted."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from inventory.corrections import OPEN_STATES
from inventory.models import Correction, CountEntry, CountLine, CountRound, Lot, Part, Place

from .common import MOST_AT_ONCE, CodeField, IdField, IdsField, PartBrief

MOST_PIECES = 1_000_000


class MakeRoundSerializer(serializers.Serializer[dict[str, Any]]):
    why = serializers.CharField(max_length=200, help_text="Why it is counted.")
    places = serializers.ListField(
        child=serializers.CharField(max_length=20),
        max_length=MOST_AT_ONCE,
        default=list,
        help_text="Codes of places: all that lies there is counted.",
    )
    parts = IdsField(required=False, help_text="Ids of parts: they are counted wherever they lie.")


class MakeDueRoundSerializer(serializers.Serializer[dict[str, Any]]):
    most = serializers.IntegerField(min_value=1, max_value=MOST_AT_ONCE, default=20, help_text="Lines.")


class EnterCountSerializer(serializers.Serializer[dict[str, Any]]):
    found = serializers.IntegerField(min_value=0, max_value=MOST_PIECES)
    counted_at = serializers.DateTimeField(
        allow_null=True, default=None, help_text="When they were counted; now, if not said."
    )


class ReasonSerializer(serializers.Serializer[dict[str, Any]]):
    reason = serializers.CharField(max_length=150)


class _LyingSerializer(serializers.Serializer[dict[str, Any]]):
    """A part, or a lot of it, in a place."""

    part = IdField[Part](queryset=Part.objects.select_related("maker"))
    place = CodeField[Place](queryset=Place.objects.all())
    lot = serializers.CharField(max_length=40, allow_blank=True, default="", help_text="Its code.")
    reason = serializers.CharField(max_length=200)


class AdjustSerializer(_LyingSerializer):
    change = serializers.IntegerField(
        min_value=-MOST_PIECES, max_value=MOST_PIECES, help_text="Pieces more, or fewer if below zero."
    )


class ScrapSerializer(_LyingSerializer):
    quantity = serializers.IntegerField(min_value=1, max_value=MOST_PIECES)


class CountEntrySerializer(serializers.ModelSerializer[CountEntry]):
    by = serializers.CharField(source="by.username")
    difference = serializers.IntegerField(read_only=True)

    class Meta:
        model = CountEntry
        fields = ("found", "expected", "difference", "counted_at", "by")


class CountLineSerializer(serializers.ModelSerializer[CountLine]):
    part = PartBrief()
    place = CodeField[Place](read_only=True)
    lot = CodeField[Lot](read_only=True, allow_null=True)
    entries = serializers.SerializerMethodField(
        help_text="What was found, by whom; nothing while it is still to be counted."
    )

    class Meta:
        model = CountLine
        fields = ("id", "sequence", "place", "part", "lot", "state", "why", "entries")

    @extend_schema_field(CountEntrySerializer(many=True))
    def get_entries(self, line: CountLine) -> Any:
        entries = [] if line.state in OPEN_STATES else list(line.entries.all())
        return CountEntrySerializer(entries, many=True).data


class CountRoundBriefSerializer(serializers.ModelSerializer[CountRound]):
    number = serializers.CharField(read_only=True)
    made_by = serializers.CharField(source="made_by.username")

    class Meta:
        model = CountRound
        fields: tuple[str, ...] = ("id", "number", "state", "why", "made_at", "made_by", "done_at")


class CountRoundSerializer(CountRoundBriefSerializer):
    lines = CountLineSerializer(many=True)

    class Meta(CountRoundBriefSerializer.Meta):
        fields = (*CountRoundBriefSerializer.Meta.fields, "lines")


class CorrectionSerializer(serializers.ModelSerializer[Correction]):
    """Waiting ("asked"), posted to the ledger, or refused."""

    part = PartBrief()
    place = CodeField[Place](read_only=True)
    lot = CodeField[Lot](read_only=True, allow_null=True)
    asked_by = serializers.CharField(source="asked_by.username")
    decided_by = serializers.CharField(source="decided_by.username", allow_null=True, default=None)
    round = serializers.CharField(source="count_line.round.number", allow_null=True, default=None)
    entries = CountEntrySerializer(
        source="count_line.entries", many=True, default=list, help_text="Who counted what, in a round."
    )

    class Meta:
        model = Correction
        fields = (
            "id",
            "part",
            "place",
            "lot",
            "change",
            "value",
            "reason",
            "state",
            "asked_at",
            "asked_by",
            "decided_at",
            "decided_by",
            "round",
            "entries",
        )
