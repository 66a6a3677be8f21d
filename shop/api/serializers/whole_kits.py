"""The whole kits around a custom kit: through each candidate, what is in the way, and ways out to POST."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from kits.models import Substitution
from kits.whole_kits import State, WayOut

from .common import Price, Word


class StateField(Word):
    """possible, measure first, not possible, not yet known."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(choices=[state.value for state in State], read_only=True, **kwargs)


class ThroughSerializer(serializers.Serializer[Any]):
    """The whole kits through a candidate; prices against the kit as it is.

    Of the best one (fewest other slots follow, then the price) the difference and how many follow; the
    difference of the cheapest one; and the first day on which all parts of some whole kit are there.
    """

    state = StateField()
    price_difference = Price(source="difference", allow_null=True)
    follows = serializers.IntegerField(allow_null=True)
    cheapest_difference = Price(source="cheapest", allow_null=True)
    ready_on = serializers.DateField(allow_null=True)


class SwappedSerializer(serializers.Serializer[Any]):
    """One slot filled otherwise, or, among what is in the way, as it was chosen."""

    slot = serializers.CharField()
    name = serializers.CharField()
    key = serializers.CharField()
    label = serializers.CharField()  # type: ignore[assignment]  # a field of ours
    agreement = serializers.ChoiceField(Substitution.Agreement.choices, allow_blank=True)


class TogetherSerializer(serializers.Serializer[dict[str, Any]]):
    """`swaps` are chosen; `follows` only follow from them. Both by slot and candidate's key."""

    swaps = serializers.DictField(child=serializers.CharField(), default=dict)
    follows = serializers.DictField(child=serializers.CharField(), default=dict)
    agreed = serializers.CharField(max_length=200, allow_blank=True, default="")
    version = serializers.IntegerField(min_value=1, allow_null=True, default=None)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        if not attrs["swaps"] and not attrs["follows"]:
            raise serializers.ValidationError({"swaps": ["Name at least one slot, here or in follows."]})
        if both := sorted(attrs["swaps"].keys() & attrs["follows"].keys()):
            raise serializers.ValidationError(
                {"follows": [f"{', '.join(both)} stands in swaps too: say it once."]}
            )
        return attrs


class LetFollowSerializer(serializers.Serializer[dict[str, Any]]):
    slot = serializers.CharField(help_text="The slot's code.")
    version = serializers.IntegerField(min_value=1, allow_null=True, default=None)


class ToPostSerializer(serializers.Serializer[Any]):
    """What to POST, and where, for this way out; add who `agreed` where somebody has to."""

    to = serializers.CharField()
    body = TogetherSerializer()


class WayOutSerializer(serializers.Serializer[Any]):
    """A best whole kit by what it changes: choices that must change, and slots that follow.

    The context has the kit, and what was asked for by slot and key.
    """

    state = StateField()
    changes = SwappedSerializer(many=True)
    follows = SwappedSerializer(many=True)
    price_difference = Price(source="difference")
    ready_on = serializers.DateField(allow_null=True)
    post = serializers.SerializerMethodField()

    @extend_schema_field(ToPostSerializer)
    def get_post(self, way: WayOut) -> dict[str, Any]:
        kit, asked = self.context["kit"], self.context.get("asked", {})
        return {
            "to": f"/api/custom-kits/{kit.pk}/swap-together/",
            "body": {
                "swaps": {**asked, **{one.slot: one.key for one in way.changes}},
                "follows": {one.slot: one.key for one in way.follows},
                "version": kit.version,
            },
        }


class TradeSerializer(serializers.Serializer[Any]):
    """The best whole kit that is there by a day, and the bench time of its shop works."""

    way = WayOutSerializer()
    shop_minutes = serializers.IntegerField(source="minutes")


class InTheWaySerializer(serializers.Serializer[Any]):
    """What was chosen and cannot stay, the checks and rules that say so, and the cheapest ways out."""

    chosen = SwappedSerializer(many=True)
    reasons = serializers.ListField(child=serializers.CharField())
    ways_out = WayOutSerializer(many=True)


class AroundSerializer(serializers.Serializer[Any]):
    """One candidate: the best whole kit with it, or what is in its way; neither while not yet known."""

    state = StateField()
    best = WayOutSerializer(allow_null=True)
    in_the_way = InTheWaySerializer(allow_null=True)


class WholeKitSerializer(serializers.Serializer[Any]):
    """Whether a whole kit has all that was chosen: what follows in the best one, or what excludes what."""

    state = StateField()
    chosen = serializers.ListField(child=serializers.CharField(), help_text="Codes of the chosen slots.")
    best = WayOutSerializer(allow_null=True)
    excluding_each_other = InTheWaySerializer(allow_null=True)
