"""The store room: carrying pieces, making kits up on the shelf and taking them apart, late charges."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework import viewsets
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from inventory import assembling, buying, late_charges
from shop.api.keys import keyed
from shop.api.people import acting_user
from shop.api.serializers import store_room as shapes

from .shared import body


class StoreRoom(viewsets.ViewSet):
    """What is done with pieces that are here."""

    @extend_schema(request=shapes.PutAwaySerializer, responses={201: shapes.BookedSerializer})
    @action(detail=False, methods=["post"], url_path="put-away")
    @keyed()
    def put_away(self, request: Request) -> Response:
        """Carry pieces off the dock, or from one place in the shop to another."""
        wish = body(shapes.PutAwaySerializer, request)
        moved = buying.put_away(acting_user(request), wish.pop("part"), **wish)
        return Response(shapes.BookedSerializer(moved).data, status=201)

    @extend_schema(request=shapes.MakeUpSerializer, responses={201: shapes.BookedSerializer(many=True)})
    @action(detail=False, methods=["post"], url_path="make-up")
    @keyed()
    def make_up(self, request: Request) -> Response:
        """Make pieces up of their components, which come from the bins; answers what came in."""
        wish = body(shapes.MakeUpSerializer, request)
        made = assembling.make_up(acting_user(request), **wish)
        return Response(shapes.BookedSerializer(made, many=True).data, status=201)

    @extend_schema(request=shapes.TakeApartSerializer, responses={201: shapes.BookedSerializer(many=True)})
    @action(detail=False, methods=["post"], url_path="take-apart")
    @keyed()
    def take_apart(self, request: Request) -> Response:
        """Take made-up pieces apart; answers the components that came in."""
        wish: dict[str, Any] = body(shapes.TakeApartSerializer, request)
        lots = {one["part"].pk: one["lots"] for one in wish.pop("components")}
        came = assembling.take_apart(acting_user(request), **wish, lots=lots)
        return Response(shapes.BookedSerializer(came, many=True).data, status=201)

    @extend_schema(
        request=shapes.WriteLateChargeSerializer, responses={201: shapes.LateChargeSerializer(many=True)}
    )
    @action(detail=False, methods=["post"], url_path="late-charges")
    @keyed()
    def charge_late(self, request: Request) -> Response:
        """Share a charge that came after its delivery over what that brought."""
        wish = body(shapes.WriteLateChargeSerializer, request)
        charges = late_charges.charge_late(acting_user(request), **wish)
        return Response(shapes.LateChargeSerializer(charges, many=True).data, status=201)
