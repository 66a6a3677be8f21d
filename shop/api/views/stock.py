"""Stock: what is on the shelves, what is kept and for whom, what can be promised, what has moved."""

from __future__ import annotations

from typing import Any

from django.http import HttpResponseBase
from django.utils import timezone
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework import viewsets
from rest_framework.decorators import action
from rest_framework.renderers import JSONRenderer
from rest_framework.request import Request
from rest_framework.response import Response

from inventory import history
from inventory.history import Sieve
from inventory.models import Part
from inventory.promising import availability
from inventory.supplying import coming
from shop.api.filters import PartFilter
from shop.api.people import acting_user
from shop.api.serializers import stock as shapes
from shop.history_csv import history_csv
from shop.kept_for import kept_for
from shop.stock_figures import lying, stock_of


class CsvRenderer(JSONRenderer):
    """CSV is sent as it is read, past every renderer: what comes here is a problem, which is JSON."""

    media_type = "text/csv"
    format = "csv"


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
    def retrieve(self, request: Request, **_: Any) -> Response:
        """One part: where it lies, for whom it is kept, what is to come, and what can be promised when."""
        part, now = self.get_object(), timezone.now()
        seen = {
            "figures": stock_of([part], now)[0],
            "balances": lying(part),
            "keepers": kept_for(part, now),
            "coming": coming([part.pk], now),
            "promise": availability([part.pk], now)[part.pk],
        }
        shape = shapes.StockDetailSerializer(seen, context={"sees_costs": sees_costs(request)})
        return Response(shape.data)

    @extend_schema(
        parameters=[shapes.HistoryQuerySerializer],
        responses={
            (200, "application/json"): shapes.HistorySerializer,
            (200, "text/csv"): OpenApiTypes.STR,
        },
        filters=False,
    )
    @action(detail=True, pagination_class=None, renderer_classes=(JSONRenderer, CsvRenderer))
    def movements(self, request: Request, **_: Any) -> HttpResponseBase:
        """The movements that the filters let through, the latest first, with what was on hand after each.

        Ask on with `before` for older ones. As text/csv (or with `format=csv`) it is all of them at once,
        the oldest first.
        """
        part = self.get_object()
        asked = _asked(request)
        before, size = asked.pop("before"), asked.pop("page_size")
        sieve = Sieve(**asked)
        if request.accepted_media_type == CsvRenderer.media_type:
            return history_csv(part, sieve, with_costs=sees_costs(request))
        page = history.page(part, sieve, before=before, size=size)
        next_page = None
        if page.before is not None:
            query = request.query_params.copy()
            query["before"] = str(page.before)
            next_page = request.build_absolute_uri(f"{request.path}?{query.urlencode()}")
        answer = {"next": next_page, "results": page.entries}
        return Response(shapes.HistorySerializer(answer, context={"sees_costs": sees_costs(request)}).data)


def sees_costs(request: Request) -> bool:
    """What pieces cost is for those who buy."""
    return acting_user(request).has_perm("inventory.buy")


def _asked(request: Request) -> dict[str, Any]:
    query = shapes.HistoryQuerySerializer(data=request.query_params)
    query.is_valid(raise_exception=True)
    asked: dict[str, Any] = dict(query.validated_data)
    return asked
