"""Targets, and the runs that reckon them."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from inventory.models import Part, Target, TargetRun

from .common import IdField, PartBrief, Price

MOST_PIECES = 1_000_000


class TargetRunSerializer(serializers.ModelSerializer[TargetRun]):
    by = serializers.CharField(source="by.username", allow_null=True, default=None, read_only=True)
    frontier = serializers.ListField(
        child=serializers.ListField(min_length=2, max_length=2),
        help_text="Pairs: the money tied up, and the share of kits that ship complete for it.",
    )

    class Meta:
        model = TargetRun
        fields = (
            "id",
            "started_at",
            "ended_at",
            "by",
            "stage",
            "parts",
            "parts_done",
            "wanted",
            "budget",
            "reached",
            "tied_up",
            "frontier",
            "note",
        )
        read_only_fields = fields


class StartRunSerializer(serializers.Serializer[dict[str, Any]]):
    wanted = serializers.DecimalField(
        max_digits=5,
        decimal_places=4,
        help_text="The share of kits to ship complete from stock, above 0 and below 1.",
    )
    budget = Price(
        default=None, allow_null=True, help_text="Or the money to tie up in the parts of kits at most."
    )


class TargetSerializer(serializers.ModelSerializer[Target]):
    part = PartBrief()
    figures = serializers.DictField(help_text="What the run reckoned with, and why; empty before any run.")

    class Meta:
        model = Target
        fields = ("part", "reorder_at", "up_to", "most", "why", "set_by", "run", "figures")
        read_only_fields = fields


class SetTargetSerializer(serializers.Serializer[dict[str, Any]]):
    part = IdField[Part](queryset=Part.objects.all())
    reorder_at = serializers.IntegerField(min_value=0, max_value=MOST_PIECES)
    up_to = serializers.IntegerField(
        min_value=0, max_value=MOST_PIECES, help_text="0 with `reorder_at` 0: not to be bought any more."
    )
    most = serializers.IntegerField(
        min_value=0,
        max_value=MOST_PIECES,
        default=None,
        allow_null=True,
        help_text="As many as the shelf takes.",
    )
    why = serializers.CharField(max_length=200)
