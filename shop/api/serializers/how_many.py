"""How many whole kits could ship: what is asked, and the answer."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers


class HowManyAskedSerializer(serializers.Serializer[Any]):
    """All of it may be left out: all released conversions, today."""

    template = serializers.CharField(required=False, help_text="A template's code.")
    engine = serializers.CharField(required=False, help_text="An engine's code.")
    on = serializers.DateField(required=False, help_text="Today or a day to come.")


class KitPartSerializer(serializers.Serializer[Any]):
    id = serializers.IntegerField()
    number = serializers.CharField()
    name = serializers.CharField()
    maker = serializers.CharField()


class InTheWayOfKitsSerializer(serializers.Serializer[Any]):
    """So many pieces more of one part alone give so many more kits; a lesser number gives none."""

    part = KitPartSerializer()
    pieces = serializers.IntegerField()
    gained = serializers.IntegerField()


class LackSerializer(serializers.Serializer[Any]):
    part = KitPartSerializer()
    pieces = serializers.IntegerField()


class StandInSerializer(serializers.Serializer[Any]):
    """In how many kits of the plan it stands in, and who must agree to it."""

    slot = serializers.CharField()
    stand_in = serializers.CharField()
    agreement = serializers.CharField()
    kits = serializers.IntegerField()


class KitsOnSerializer(serializers.Serializer[Any]):
    on = serializers.DateField()
    kits = serializers.IntegerField()


class CountedConversionSerializer(serializers.Serializer[Any]):
    """`together` in the plan of most kits, `alone` if the shelves were for it alone.

    `in_the_way` and `lacks` are of it alone, `stand_ins` and `ahead` of the plan.
    """

    template = serializers.CharField()
    name = serializers.CharField()
    engines = serializers.ListField(child=serializers.CharField())
    exact = serializers.BooleanField()
    alone = serializers.IntegerField()
    together = serializers.IntegerField()
    stand_ins = StandInSerializer(many=True)
    in_the_way = InTheWayOfKitsSerializer(many=True)
    lacks = LackSerializer(many=True)
    ahead = KitsOnSerializer(many=True)


class HowManySerializer(serializers.Serializer[Any]):
    on = serializers.DateField()
    exact = serializers.BooleanField()
    together = serializers.IntegerField()
    in_the_way = InTheWayOfKitsSerializer(many=True)
    conversions = CountedConversionSerializer(many=True)
