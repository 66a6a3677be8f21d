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

    @extend_schema(
        request=shapes.PickSerializer,
        responses=shapes.StopSerializer,
        parameters=[OpenApiParameter("stop", OpenApiTypes.INT, "path")],
    )
    @action(detail=True, methods=["post"], url_path=r"stops/(?P<stop>\d{1,18})/pick")
    @keyed()
    def pick(self, request: Request, stop: str, **_: Any) -> Response:
        """Confirm a stop by the scanned number; a wrong part is refused and said what it is."""
        scan = body(shapes.PickSerializer, request)
        stops = WalkStop.objects.select_related("part__maker", "place", "lot", "reservation", "walk")
        found = get_object_or_404(stops, pk=int(stop), walk=self.get_object())
        picked = picking.pick(acting_user(request), found, **scan)
        return Response(shapes.StopSerializer(picked).data)
