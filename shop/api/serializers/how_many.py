"""How many whole kits could ship: what is asked, and the answer."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from kits.how_many import MOST


class HowManyAskedSerializer(serializers.Serializer[Any]):
    """All of it may be left out: all released conversions, today."""

    template = serializers.CharField(required=False, help_text="A template's code.")
    engine = serializers.CharField(required=False, help_text="An engine's code.")
    on = serializers.DateField(required=False, help_text="Today or a day to come.")
    most = serializers.ChoiceField(
        MOST,
        required=False,
        help_text="What the plan has most of: kits, or money, each kit at the price of the standard one.",
    )


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
    """`together` in the plan, `alone` if the shelves were for it alone; `price` of a standard kit's parts.

    `in_the_way` and `lacks` are of it alone, `stand_ins` and `ahead` of the plan.
    """

    template = serializers.CharField()
    name = serializers.CharField()
    engines = serializers.ListField(child=serializers.CharField())
    exact = serializers.BooleanField()
    price = serializers.DecimalField(12, 2)
    alone = serializers.IntegerField()
    together = serializers.IntegerField()
    stand_ins = StandInSerializer(many=True)
    in_the_way = InTheWayOfKitsSerializer(many=True)
    lacks = LackSerializer(many=True)
    ahead = KitsOnSerializer(many=True)


class HowManySerializer(serializers.Serializer[Any]):
    """`price`: what the kits of the plan sell for together, each at the price of its standard kit."""

    on = serializers.DateField()
    exact = serializers.BooleanField()
    most = serializers.ChoiceField(MOST)
    together = serializers.IntegerField()
    price = serializers.DecimalField(14, 2)
    in_the_way = InTheWayOfKitsSerializer(many=True)
    conversions = CountedConversionSerializer(many=True)
