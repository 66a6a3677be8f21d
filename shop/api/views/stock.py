"""Stock: what is on the shelves, what is kept, what is free and what is to come."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework import viewsets
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.models import Balance, Movement, Part
from shop.api.filters import PartFilter
from shop.api.pagination import Pages
from shop.api.serializers import stock as shapes
from shop.api.stocktaking import stock_of


class Stock(viewsets.GenericViewSet[Part]):
    """By part; the id is the part's."""

    queryset = Part.objects.select_related("maker")
    filterset_class = PartFilter
    serializer_class = shapes.StockSerializer
    lookup_value_regex = r"\d{1,18}"

    @extend_schema(responses=shapes.StockSerializer(many=True))
    def list(self, _request: Request) -> Response:
        """The figures of every part that the filters leave."""
        parts = self.paginate_queryset(self.filter_queryset(self.get_queryset()))
        assert parts is not None
        figures = stock_of(parts, timezone.now())
        return self.get_paginated_response(shapes.StockSerializer(figures, many=True).data)

    @extend_schema(responses=shapes.StockDetailSerializer)
    def retrieve(self, _request: Request, **_: Any) -> Response:
        """One part's figures, with what lies in which place."""
        part = self.get_object()
        lying = Balance.objects.filter(part=part, quantity__gt=0).select_related("place", "lot")
        balances = lying.order_by("place__code", "lot__code", "pk")
        figures = replace(stock_of([part], timezone.now())[0], balances=list(balances))
        return Response(shapes.StockDetailSerializer(figures).data)

    @extend_schema(responses=shapes.MovementSerializer(many=True), filters=False)
    @action(detail=True)
    def movements(self, request: Request, **_: Any) -> Response:
        """Every movement of the part, the latest first."""
        history = Movement.objects.filter(part=self.get_object()).order_by("-id")
        pages = Pages()
        page = pages.paginate_queryset(
            history.select_related("origin", "destination", "lot", "by"), request, view=self
        )
        return pages.get_paginated_response(shapes.MovementSerializer(page, many=True).data)
