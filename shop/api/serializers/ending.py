"""What ends early: an order cancelled, and what the floor carries back for it."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from .demand import MissedPartSerializer
from .floor import BackSerializer
from .selling import OrderSerializer


class CancelSerializer(serializers.Serializer[dict[str, Any]]):
    reason = serializers.CharField(max_length=200)
    not_in_time = serializers.BooleanField(
        default=False, help_text="It waits, and could not come in time: what is missing counts as demand."
    )


class CancelledSerializer(serializers.Serializer[dict[str, Any]]):
    order = OrderSerializer()
    back = BackSerializer(many=True, help_text="What the floor carries from the bench back to which bin.")
    missed = MissedPartSerializer(many=True, help_text="What could not be had in time: it counts as demand.")
