"""What ends early: an order cancelled, and what the floor carries back for it."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from .floor import BackSerializer
from .selling import OrderSerializer


class CancelSerializer(serializers.Serializer[dict[str, Any]]):
    reason = serializers.CharField(max_length=200)


class CancelledSerializer(serializers.Serializer[dict[str, Any]]):
    order = OrderSerializer()
    back = BackSerializer(many=True, help_text="What the floor carries from the bench back to which bin.")
