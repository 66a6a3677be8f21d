"""Custom kits: open one, see what may fill its slots, swap, and see what it comes to."""

from __future__ import annotations

from typing import Any

from django.db.models import QuerySet
from django.http import Http404
from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework import viewsets
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.serializers import BaseSerializer

from kits import customising, expanding, judging, options
from kits.models import CustomKit
from kits.trades import trades_of
from kits.whole_kits import State, WholeKits
from shop.api.keys import keyed
from shop.api.people import acting_user
from shop.api.serializers import custom_kits as shapes
from shop.api.serializers import whole_kits as whole

from .shared import ByNumber, body

_FILLS = ("fills__slot", "fills__parts__part__maker", "fills__own_features__kind")


class CustomKits(ByNumber, viewsets.ReadOnlyModelViewSet[CustomKit]):
    """A template revision, an engine, and what fills each slot."""

    letter = "K"

    def get_queryset(self) -> QuerySet[CustomKit]:
        kits = CustomKit.objects.select_related("revision__template", "engine__family", "made_by")
        return kits.prefetch_related(*_FILLS) if self.action == "retrieve" else kits

    def get_serializer_class(self) -> type[BaseSerializer[CustomKit]]:
        return shapes.KitBriefSerializer if self.action == "list" else shapes.KitSerializer

    @extend_schema(request=shapes.OpenKitSerializer, responses={201: shapes.KitSerializer})
    @keyed(required=False)
    def create(self, request: Request) -> Response:
        """Open a kit: every slot is filled with its default."""
        kit = customising.open_kit(acting_user(request), **body(shapes.OpenKitSerializer, request))
        return self._answer(kit, 201)

    @extend_schema(responses=shapes.SlotOptionsSerializer(many=True))
    @action(detail=True, pagination_class=None)
    def candidates(self, _request: Request, **_: Any) -> Response:
        """What may fill each slot, with verdict, reasons, price, stock and date, and its whole kits."""
        kit, now = self.get_object(), timezone.now()
        around = WholeKits(kit, now)
        found = options.slot_options(kit, now, beside=around)
        through = {"through": around.through()}
        return Response(shapes.SlotOptionsSerializer(found, many=True, context=through).data)

    @extend_schema(responses=whole.AroundSerializer)
    @action(detail=True, url_path=r"candidates/(?P<slot>[^/]+)/(?P<key>[^/]+)", pagination_class=None)
    def candidate(self, _request: Request, slot: str, key: str, **_: Any) -> Response:
        """What else changes in the best whole kit with a candidate; or what is in its way, and ways out."""
        kit = self.get_object()
        around = WholeKits(kit, timezone.now())
        if not around.offers(slot, key):
            raise Http404
        context = {"kit": kit, "asked": {slot: key}}
        return Response(whole.AroundSerializer(around.around(slot, key), context=context).data)

    @extend_schema(responses=whole.WholeKitSerializer)
    @action(detail=True, url_path="whole-kit")
    def whole_kit(self, _request: Request, **_: Any) -> Response:
        """What follows in the best whole kit with all that was chosen; or which choices exclude others."""
        kit = self.get_object()
        around = WholeKits(kit, timezone.now())
        best, clash = around.nearest(), around.excluding_each_other()
        unknown = State.NOT_POSSIBLE if clash else State.NOT_YET_KNOWN
        told = {
            "state": best.state if best else unknown,
            "chosen": list(around.chosen),
            "best": best,
            "excluding_each_other": clash,
        }
        return Response(whole.WholeKitSerializer(told, context={"kit": kit}).data)

    @extend_schema(responses=whole.TradeSerializer(many=True))
    @action(detail=True, pagination_class=None)
    def trades(self, _request: Request, **_: Any) -> Response:
        """Date against price, soonest first: the best whole kits with all that was chosen."""
        kit = self.get_object()
        found = trades_of(WholeKits(kit, timezone.now()))
        return Response(whole.TradeSerializer(found, many=True, context={"kit": kit}).data)

    @extend_schema(request=shapes.SwapSerializer, responses=shapes.KitSerializer)
    @action(detail=True, methods=["post"])
    @keyed(required=False)
    def swap(self, request: Request, **_: Any) -> Response:
        """Fill one slot otherwise. A swap that does not go is made, and said by the verdict."""
        wish = body(shapes.SwapSerializer, request)
        kit = customising.swap(
            acting_user(request), self.get_object(), wish.pop("slot"), wish.pop("key"), **wish
        )
        return self._answer(kit)

    @extend_schema(request=whole.TogetherSerializer, responses=shapes.KitSerializer)
    @action(detail=True, methods=["post"], url_path="swap-together")
    @keyed(required=False)
    def swap_together(self, request: Request, **_: Any) -> Response:
        """Fill several slots otherwise at once, or none of them: a candidate with what follows from it."""
        wish = body(whole.TogetherSerializer, request)
        kit = customising.swap_together(acting_user(request), self.get_object(), wish.pop("swaps"), **wish)
        return self._answer(kit)

    @extend_schema(request=whole.LetFollowSerializer, responses=shapes.KitSerializer)
    @action(detail=True, methods=["post"], url_path="let-follow")
    @keyed(required=False)
    def let_follow(self, request: Request, **_: Any) -> Response:
        """No longer insist on what fills a slot: it stays, and may follow what is chosen elsewhere."""
        wish = body(whole.LetFollowSerializer, request)
        kit = customising.let_follow(acting_user(request), self.get_object(), wish.pop("slot"), **wish)
        return self._answer(kit)

    @extend_schema(responses=shapes.ExpansionSerializer)
    @action(detail=True)
    def expansion(self, _request: Request, **_: Any) -> Response:
        """Parts, shop work, fitting steps, cautions and prices of the kit as it is."""
        return Response(shapes.ExpansionSerializer(expanding.expand(self.get_object())).data)

    @extend_schema(responses=shapes.JudgementSerializer)
    @action(detail=True)
    def verdict(self, _request: Request, **_: Any) -> Response:
        """Whether the kit goes together, with every reason and its figures."""
        return Response(shapes.JudgementSerializer(judging.judge_kit(self.get_object())).data)

    def _answer(self, kit: CustomKit, status: int = 200) -> Response:
        """The kit read anew, so that nothing fetched before the act is answered."""
        fresh = CustomKit.objects.prefetch_related(*_FILLS).get(pk=kit.pk)
        return Response(shapes.KitSerializer(fresh).data, status=status)
