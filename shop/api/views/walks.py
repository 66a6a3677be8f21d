"""Walks: many orders in one trip, stop by stop."""

from __future__ import annotations

from typing import Any

from django.db.models import QuerySet
from django.shortcuts import get_object_or_404
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import viewsets
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.serializers import BaseSerializer

from inventory.models import Walk, WalkStop
from shop import picking
from shop.api.keys import keyed
from shop.api.people import acting_user
from shop.api.serializers import floor as shapes
from shop.models import Order

from .shared import ByNumber, all_of, body

_STOP = [OpenApiParameter("stop", OpenApiTypes.INT, "path")]
_STOPS = ("stops__part__maker", "stops__place", "stops__lot", "stops__reservation")


class Walks(ByNumber, viewsets.ReadOnlyModelViewSet[Walk]):
    """One trip of a picker for many orders."""

    letter = "W"
    filterset_fields = ("state",)

    def get_queryset(self) -> QuerySet[Walk]:
        walks = Walk.objects.select_related("made_by")
        return walks if self.action == "list" else walks.prefetch_related(*_STOPS)

    def get_serializer_class(self) -> type[BaseSerializer[Walk]]:
        return shapes.WalkBriefSerializer if self.action == "list" else shapes.WalkSerializer

    @extend_schema(request=shapes.MakeWalkSerializer, responses={201: shapes.WalkSerializer})
    @keyed()
    def create(self, request: Request) -> Response:
        """Make a walk for orders that are ready; its stops are in the order to walk them."""
        orders = all_of(Order.objects.all(), body(shapes.MakeWalkSerializer, request)["orders"], "orders")
        walk = picking.make_walk(acting_user(request), orders)
        fresh = Walk.objects.prefetch_related(*_STOPS).get(pk=walk.pk)
        return Response(shapes.WalkSerializer(fresh).data, status=201)

    @extend_schema(request=shapes.PickSerializer, responses=shapes.StopSerializer, parameters=_STOP)
    @action(detail=True, methods=["post"], url_path=r"stops/(?P<stop>\d{1,18})/pick")
    @keyed()
    def pick(self, request: Request, stop: str, **_: Any) -> Response:
        """Confirm a stop by the scanned number; a wrong part is refused and said what it is.

        Where another lot of the same bin was scanned and is free, the answer is the stop that stands in.
        """
        scan = body(shapes.PickSerializer, request)
        picked = picking.pick(acting_user(request), self._stop(stop), **scan)
        return Response(shapes.StopSerializer(picked).data)

    @extend_schema(request=shapes.PutBackSerializer, responses=shapes.StopSerializer, parameters=_STOP)
    @action(detail=True, methods=["post"], url_path=r"stops/(?P<stop>\d{1,18})/put-back")
    @keyed()
    def put_back(self, request: Request, stop: str, **_: Any) -> Response:
        """Undo a pick: pieces go back into the stop's bin, and are to be taken again."""
        wish = body(shapes.PutBackSerializer, request)
        back = picking.put_back(acting_user(request), self._stop(stop), wish["quantity"])
        return Response(shapes.StopSerializer(back).data)

    @extend_schema(request=shapes.NotThereSerializer, responses=shapes.MissedSerializer, parameters=_STOP)
    @action(detail=True, methods=["post"], url_path=r"stops/(?P<stop>\d{1,18})/not-there")
    @keyed()
    def not_there(self, request: Request, stop: str, **_: Any) -> Response:
        """The bin held fewer: the walk goes elsewhere for the rest, or goes on without the order."""
        wish = body(shapes.NotThereSerializer, request)
        missed = picking.not_there(acting_user(request), self._stop(stop), wish["found"])
        return Response(shapes.MissedSerializer(missed).data)

    @extend_schema(request=None, responses=shapes.WalkSerializer)
    @action(detail=True, methods=["post"], url_path="give-up")
    @keyed()
    def give_up(self, request: Request, **_: Any) -> Response:
        """End an open walk: what was taken goes back into its bins, and its orders are ready again."""
        picking.give_up(acting_user(request), self.get_object())
        return Response(shapes.WalkSerializer(self.get_object()).data)

    def _stop(self, stop: str) -> WalkStop:
        stops = WalkStop.objects.select_related("part__maker", "place", "lot", "reservation", "walk")
        return get_object_or_404(stops, pk=int(stop), walk=self.get_object())
