"""Promise dates of quotes, what would make them sooner, and notices to the counter."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from inventory.models import Part
from inventory.promising import PromiseLine
from shop.models import Notice, Quote, QuoteKit
from shop.sooner import QuotePromise, Rushed, SwappedOn, Way

from .common import PartBrief, Price


class ProlongSerializer(serializers.Serializer[dict[str, Any]]):
    hours = serializers.IntegerField(min_value=1, max_value=24 * 60, help_text="It ends so long from now.")


class SwapOnQuoteSerializer(serializers.Serializer[dict[str, Any]]):
    kit = serializers.IntegerField(min_value=1, help_text="The id of the quoted kit, as in `kits`.")
    slot = serializers.CharField(help_text="The slot's code.")
    key = serializers.CharField(help_text="A candidate's key, as /candidates/ of the custom kit lists it.")
    own = serializers.DictField(
        child=serializers.CharField(max_length=60),
        default=dict,
        help_text="For the customer's own part: feature kind to size, such as '19.05 mm' or '25 H7'.",
    )
    agreed = serializers.CharField(max_length=200, allow_blank=True, default="")


class PromisedPartSerializer(serializers.Serializer[tuple[Part, PromiseLine]]):
    """`on` is the day on which all that are wanted can be had; null when nobody offers it."""

    part = PartBrief(source="0")
    wanted = serializers.IntegerField(source="1.wanted")
    free = serializers.IntegerField(source="1.free")
    on = serializers.DateField(source="1.on", allow_null=True)
    how = serializers.CharField(source="1.how")

    def to_representation(self, pair: Any) -> dict[str, Any]:
        part, line = pair
        return {
            "part": PartBrief(part).data,
            "wanted": line.wanted,
            "free": line.free,
            "on": line.on,
            "how": line.how,
        }


class ChangeSerializer(serializers.Serializer[Any]):
    """A delivery that is `rush`ed, or a `swap` in a slot; `text` says it in words."""

    kind = serializers.ChoiceField(["rush", "swap"])
    text = serializers.CharField()
    part = PartBrief(allow_null=True, help_text="What comes sooner.")
    purchase_order = serializers.CharField(allow_null=True, help_text="Null where it has to be ordered yet.")
    kit = serializers.IntegerField(allow_null=True, help_text="The id of the quoted kit.")
    slot = serializers.CharField(allow_null=True)
    key = serializers.CharField(allow_null=True)
    agreement = serializers.CharField(allow_null=True)
    price_difference = Price(allow_null=True, help_text="Of one kit.")

    def to_representation(self, change: Any) -> dict[str, Any]:
        told: dict[str, Any] = dict.fromkeys(self.fields)
        if isinstance(change, Rushed):
            order = change.line.order.number if change.line else None
            told |= {"kind": "rush", "part": PartBrief(change.part).data, "purchase_order": order}
        elif isinstance(change, SwappedOn):
            one = change.stand_in
            told |= {"kind": "swap", "kit": change.kit.pk, "slot": one.slot, "key": one.key}
            told |= {"agreement": one.agreement, "price_difference": f"{one.price_difference:.2f}"}
        return told | {"text": str(change)}


class WaySerializer(serializers.Serializer[Way]):
    """All `changes` together; what is rushed is in time as late as `by`."""

    on = serializers.DateField()
    days = serializers.IntegerField(allow_null=True, help_text="So many sooner; null: sooner than never.")
    by = serializers.DateField(allow_null=True)
    changes = ChangeSerializer(many=True)


class QuotePromiseSerializer(serializers.Serializer[QuotePromise]):
    """`on`: the day on which the quote could ship, shop works done; null when nobody can say."""

    on = serializers.DateField(allow_null=True)
    held = serializers.BooleanField()
    lines = PromisedPartSerializer(many=True)
    sooner = WaySerializer(many=True)


class NoticeSerializer(serializers.ModelSerializer[Notice]):
    quote = serializers.CharField(source="quote.number", allow_null=True, default=None)
    order = serializers.CharField(source="order.number", allow_null=True, default=None)
    seen_by = serializers.CharField(source="seen_by.username", allow_null=True, default=None)

    class Meta:
        model = Notice
        fields = ("id", "kind", "text", "quote", "order", "made_at", "updated_at", "seen_at", "seen_by")


def quoted_kit(quote: Quote, pk: int) -> QuoteKit:
    """The kit of the quote with this id; a bad request if it has none."""
    found = quote.kits.filter(pk=pk).first()
    if found is None:
        raise serializers.ValidationError({"kit": [f"{quote} has no kit {pk}."]})
    return found
