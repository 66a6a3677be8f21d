"""Targets, the runs that reckon them, and what people set by hand."""

from __future__ import annotations

from typing import Any

from django.http.response import HttpResponseBase
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework import mixins, viewsets
from rest_framework.decorators import action
from rest_framework.renderers import JSONRenderer
from rest_framework.request import Request
from rest_framework.response import Response

from inventory import targeting
from inventory.models import Target, TargetRun
from shop.api.keys import keyed
from shop.api.people import Buys, acting_user
from shop.api.serializers import targets as shapes
from shop.targets_csv import targets_csv

from .shared import body
from .stock import CsvRenderer


class TargetRuns(viewsets.ReadOnlyModelViewSet[TargetRun]):
    """Reckonings of all targets, the latest first; `parts_done` and `stage` say how far one is."""

    permission_classes = (Buys,)
    queryset = TargetRun.objects.select_related("by")
    serializer_class = shapes.TargetRunSerializer
    filterset_fields = ("stage",)
    lookup_value_regex = r"\d{1,18}"

    @extend_schema(request=shapes.StartRunSerializer, responses={201: shapes.TargetRunSerializer})
    @keyed()
    def create(self, request: Request) -> Response:
        """Have all targets reckoned, for a share of kits or for a budget; one run at a time."""
        run = targeting.start(acting_user(request), **body(shapes.StartRunSerializer, request))
        return Response(shapes.TargetRunSerializer(run).data, status=201)

    @extend_schema(request=None, responses=shapes.TargetRunSerializer)
    @action(detail=True, methods=["post"], url_path="take-up")
    @keyed()
    def take_up(self, request: Request, **_: Any) -> Response:
        """Have a run go on whose worker died; what is done is not done again."""
        run = targeting.take_up(acting_user(request), self.get_object())
        return Response(shapes.TargetRunSerializer(run).data)


class Targets(mixins.RetrieveModelMixin, viewsets.GenericViewSet[Target]):
    """By part: at which stock to order, up to which, and why; the id is the part's."""

    permission_classes = (Buys,)
    queryset = Target.objects.select_related("part__maker").order_by("part_id")
    serializer_class = shapes.TargetSerializer
    filterset_fields = ("set_by", "run")
    lookup_field = "part_id"
    lookup_value_regex = r"\d{1,18}"
    renderer_classes = (JSONRenderer, CsvRenderer)

    @extend_schema(
        responses={
            (200, "application/json"): shapes.TargetSerializer(many=True),
            (200, "text/csv"): OpenApiTypes.STR,
        }
    )
    def list(self, request: Request) -> HttpResponseBase:
        """Page by page; as text/csv (or with `format=csv`) all of them at once."""
        found = self.filter_queryset(self.get_queryset())
        if request.accepted_media_type == CsvRenderer.media_type:
            return targets_csv(found)
        page = self.paginate_queryset(found)
        return self.get_paginated_response(self.get_serializer(page, many=True).data)

    @extend_schema(request=shapes.SetTargetSerializer, responses=shapes.TargetSerializer)
    @action(detail=False, methods=["post"], url_path="by-hand", pagination_class=None)
    @keyed()
    def by_hand(self, request: Request) -> Response:
        """Set the target of a part by hand: from now on runs recommend, and leave it as it is."""
        target = targeting.set_by_hand(acting_user(request), **body(shapes.SetTargetSerializer, request))
        return self._answer(target)

    @extend_schema(request=None, responses=shapes.TargetSerializer)
    @action(detail=True, methods=["post"], url_path="leave-to-runs")
    @keyed()
    def leave_to_runs(self, request: Request, **_: Any) -> Response:
        """From the next run on it is reckoned again."""
        return self._answer(targeting.leave_to_runs(acting_user(request), self.get_object()))

    def _answer(self, target: Target) -> Response:
        fresh = self.queryset.get(pk=target.pk)
        return Response(shapes.TargetSerializer(fresh).data)
