"""What can be done with an order to a supplier before it has gone, and about its lines afterwards."""

from __future__ import annotations

from typing import Any

from django.db.models import QuerySet
from django.shortcuts import get_object_or_404
from django.utils import timezone
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import viewsets
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from inventory import buying, differences
from inventory.models import PurchaseLine, PurchaseOrder
from shop import receiving
from shop.api.keys import keyed
from shop.api.people import acting_user
from shop.api.serializers import buying as orders
from shop.api.serializers import supplying as shapes

from .shared import all_of, body

_LINE = [OpenApiParameter("line", OpenApiTypes.INT, "path")]
_LINES = r"lines/(?P<line>\d{1,18})"


class PurchaseActs(viewsets.GenericViewSet[PurchaseOrder]):
    """Of the viewset of purchase orders."""

    @extend_schema(
        request=shapes.ApproveSerializer, responses=orders.PurchaseOrderSerializer(many=True), filters=False
    )
    @action(detail=False, methods=["post"], pagination_class=None)
    @keyed()
    def approve(self, request: Request) -> Response:
        """Stand for drafts, all or none, each within the limit of your role with its carriage."""
        ids = body(shapes.ApproveSerializer, request)["orders"]
        found = all_of(PurchaseOrder.objects.all(), ids, "orders")
        approved = buying.approve(acting_user(request), found)
        fresh = whole().filter(pk__in=[order.pk for order in approved]).order_by("pk")
        return Response(orders.PurchaseOrderSerializer(fresh, many=True).data)

    @extend_schema(request=None, responses=orders.PurchaseOrderSerializer)
    @action(detail=True, methods=["post"], url_path="take-back")
    @keyed()
    def take_back(self, request: Request, **_: Any) -> Response:
        """Take the approval back: it is a draft again."""
        return answer(buying.take_back(acting_user(request), self.get_object()))

    @extend_schema(request=None, responses=shapes.DiscardedSerializer)
    @action(detail=True, methods=["post"])
    @keyed()
    def discard(self, request: Request, **_: Any) -> Response:
        """Throw away what was never sent."""
        order = self.get_object()
        number = order.number
        buying.discard(acting_user(request), order)
        return Response({"discarded": number})

    @extend_schema(request=orders.WantedLineSerializer, responses=orders.PurchaseOrderSerializer)
    @action(detail=True, methods=["post"])
    @keyed()
    def lines(self, request: Request, **_: Any) -> Response:
        """Order another part as well. An approved order is a draft again."""
        wish = body(orders.WantedLineSerializer, request)
        return answer(
            buying.add_line(acting_user(request), self.get_object(), wish["part"], wish["quantity"])
        )

    @extend_schema(
        request=shapes.ChangeLineSerializer, responses=orders.PurchaseOrderSerializer, parameters=_LINE
    )
    @action(detail=True, methods=["post"], url_path=f"{_LINES}/change")
    @keyed()
    def change_line(self, request: Request, line: str, **_: Any) -> Response:
        """Order so many of it instead, or none. An approved order is a draft again."""
        wish = body(shapes.ChangeLineSerializer, request)
        return answer(buying.change_line(acting_user(request), self._line(line), wish["quantity"]))

    @extend_schema(
        request=shapes.WhyNoMoreSerializer, responses=shapes.DifferenceSerializer, parameters=_LINE
    )
    @action(detail=True, methods=["post"], url_path=f"{_LINES}/close-short")
    @keyed()
    def close_short(self, request: Request, line: str, **_: Any) -> Response:
        """The rest of it will not come: whoever waits for it gets other supply, or hears."""
        reason = body(shapes.WhyNoMoreSerializer, request)["reason"]
        made = receiving.close_short(acting_user(request), self._line(line), reason)
        return Response(shapes.DifferenceSerializer(made).data)

    @extend_schema(
        request=shapes.ReportSerializer, responses={201: shapes.DifferenceSerializer}, parameters=_LINE
    )
    @action(detail=True, methods=["post"], url_path=f"{_LINES}/report")
    @keyed()
    def report(self, request: Request, line: str, **_: Any) -> Response:
        """Something else came than was ordered; it was not booked in."""
        wish = body(shapes.ReportSerializer, request)
        made = differences.report(acting_user(request), self._line(line), wish["quantity"], wish["what"])
        return Response(shapes.DifferenceSerializer(made).data, status=201)

    @extend_schema(responses=shapes.LateLinesSerializer(many=True), filters=False)
    @action(detail=False, methods=["get"], pagination_class=None)
    def late(self, _request: Request) -> Response:
        """By supplier what is overdue, and when they were asked last."""
        return Response(shapes.LateLinesSerializer(buying.late_lines(timezone.now()), many=True).data)

    @extend_schema(
        request=shapes.RemindSerializer, responses={201: shapes.ReminderSerializer(many=True)}, filters=False
    )
    @action(detail=False, methods=["post"], pagination_class=None)
    @keyed()
    def remind(self, request: Request) -> Response:
        """Ask the suppliers where lines stay: a note on each, and a letter; once a day for a line."""
        wish = body(shapes.RemindSerializer, request)
        lines = all_of(PurchaseLine.objects.all(), wish["lines"], "lines")
        made = buying.remind(acting_user(request), lines, wish["note"])
        return Response(shapes.ReminderSerializer(made, many=True).data, status=201)

    def _line(self, pk: str) -> PurchaseLine:
        lines = PurchaseLine.objects.select_related("order__supplier", "part__maker")
        return get_object_or_404(lines, pk=int(pk), order=self.get_object())


def brief() -> QuerySet[PurchaseOrder]:
    return PurchaseOrder.objects.select_related("supplier", "made_by", "approved_by")


def whole() -> QuerySet[PurchaseOrder]:
    return brief().prefetch_related("lines__part__maker")


def answer(order: PurchaseOrder, status: int = 200) -> Response:
    """The order read anew, so that nothing fetched before the act is answered."""
    return Response(orders.PurchaseOrderSerializer(whole().get(pk=order.pk)).data, status=status)
