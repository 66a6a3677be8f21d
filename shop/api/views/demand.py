"""Demand: what was asked for, line by line; of one part period by period; large orders marked."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework import mixins, viewsets
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.demand import mark_one_off, told_apart
from inventory.models import Demand
from shop.api.filters import DemandFilter
from shop.api.keys import keyed
from shop.api.people import acting_user
from shop.api.serializers import demand as shapes

from .shared import body


class DemandLines(mixins.ListModelMixin, mixins.RetrieveModelMixin, viewsets.GenericViewSet[Demand]):
    """What was asked of the shop, the latest first: in kits, loose, by the workshop, lost, come back."""

    queryset = Demand.objects.select_related("part__maker", "first_choice__maker").order_by("-day", "-id")
    serializer_class = shapes.DemandSerializer
    filterset_class = DemandFilter
    lookup_value_regex = r"\d{1,18}"

    @extend_schema(request=shapes.OneOffSerializer, responses=shapes.DemandSerializer)
    @action(detail=True, methods=["post"], url_path="one-off")
    @keyed()
    def one_off(self, request: Request, **_: Any) -> Response:
        """Say that it is a large order that will not come again, or that it is custom like any other."""
        yes = body(shapes.OneOffSerializer, request)["one_off"]
        marked = mark_one_off(acting_user(request), self.get_object(), yes)
        return Response(shapes.DemandSerializer(self.queryset.get(pk=marked.pk)).data)


class PeriodsOfPart:
    """For the viewset of parts."""

    get_object: Any

    @extend_schema(
        parameters=[shapes.PeriodsQuerySerializer],
        responses=shapes.PeriodSerializer(many=True),
        filters=False,
    )
    @action(detail=True, pagination_class=None)
    def demand(self, request: Request, **_: Any) -> Response:
        """What was asked of it in each whole month or week, its predecessors' too, kinds told apart.

        Nothing for a part that is superseded: its history is its successor's.
        """
        query = shapes.PeriodsQuerySerializer(data=request.query_params)
        query.is_valid(raise_exception=True)
        asked = query.validated_data
        found = told_apart(self.get_object().pk, asked["until"], asked["every"])
        return Response(shapes.PeriodSerializer(found, many=True).data)
