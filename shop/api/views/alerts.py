"""Alerts: what buying should act on, who suffers meanwhile, and what is left until a day."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.db.models import QuerySet
from django.http.response import HttpResponseBase
from django.utils import timezone
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import viewsets
from rest_framework.decorators import action
from rest_framework.renderers import JSONRenderer
from rest_framework.request import Request
from rest_framework.response import Response

from inventory import alerting, buying
from inventory.models import Alert
from shop.alerts_csv import alerts_csv
from shop.api.filters import AlertFilter
from shop.api.keys import keyed
from shop.api.people import acting_user
from shop.api.serializers import alerts as shapes
from shop.api.serializers.buying import PurchaseOrderSerializer
from shop.suffering import sufferers

from .purchase_acts import whole
from .shared import all_of, body
from .stock import CsvRenderer


class Alerts(viewsets.GenericViewSet[Alert]):
    """What buying should act on: part, reason, quantity, supplier, latest day, and who suffers meanwhile."""

    serializer_class = shapes.AlertSerializer
    filterset_class = AlertFilter
    lookup_value_regex = r"\d{1,18}"
    renderer_classes = (JSONRenderer, CsvRenderer)

    def get_queryset(self) -> QuerySet[Alert]:
        if self.action == "list":
            quiet = self.request.query_params.get("snoozed", "").lower() in {"true", "1"}
            return alerting.open_alerts(timezone.now(), snoozed=quiet)
        return Alert.objects.select_related("part__maker", "supplier")

    @extend_schema(
        parameters=[
            OpenApiParameter("snoozed", OpenApiTypes.BOOL, description="Those instead that are quiet now.")
        ],
        responses={
            (200, "application/json"): shapes.AlertSerializer(many=True),
            (200, "text/csv"): OpenApiTypes.STR,
        },
    )
    def list(self, request: Request) -> HttpResponseBase:
        """Open ones, the dearest to wait first; as text/csv (or with `format=csv`) all of them at once."""
        found = self.filter_queryset(self.get_queryset())
        if request.accepted_media_type == CsvRenderer.media_type:
            return alerts_csv(found)
        page = self.paginate_queryset(found)
        assert page is not None
        return self.get_paginated_response(_shown(page))

    @extend_schema(responses=shapes.AlertSerializer)
    def retrieve(self, _request: Request, **_: Any) -> Response:
        """One alert, open or over."""
        return Response(_one(self.get_object()))

    @extend_schema(request=shapes.SnoozeSerializer, responses=shapes.AlertSerializer)
    @action(detail=True, methods=["post"])
    @keyed()
    def snooze(self, request: Request, **_: Any) -> Response:
        """Leave it until a day: it is quiet until then, and clears like any other."""
        wish = body(shapes.SnoozeSerializer, request)
        return Response(_one(alerting.snooze(acting_user(request), self.get_object(), **wish)))

    @extend_schema(request=None, responses=shapes.AlertSerializer)
    @action(detail=True, methods=["post"])
    @keyed()
    def wake(self, request: Request, **_: Any) -> Response:
        """Hear of it again from now on."""
        return Response(_one(alerting.wake(acting_user(request), self.get_object())))

    @extend_schema(
        request=shapes.OrderAlertsSerializer,
        responses={201: PurchaseOrderSerializer(many=True)},
        filters=False,
    )
    @action(detail=False, methods=["post"], pagination_class=None)
    @keyed()
    def order(self, request: Request) -> Response:
        """Write purchase orders from alerts: one draft for each supplier, in whole packs."""
        ids = body(shapes.OrderAlertsSerializer, request)["alerts"]
        alerts = all_of(Alert.objects.select_related("part", "supplier"), ids, "alerts")
        orders = buying.order_from_alerts(acting_user(request), alerts)
        fresh = whole().filter(pk__in=[order.pk for order in orders]).order_by("pk")
        return Response(PurchaseOrderSerializer(fresh, many=True).data, status=201)


def _one(alert: Alert) -> Any:
    return _shown([alert])[0]


def _shown(alerts: Sequence[Alert]) -> Any:
    return shapes.AlertSerializer(alerts, many=True, context={"suffering": sufferers(alerts)}).data
