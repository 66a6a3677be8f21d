"""Purchase orders, from the draft to the goods on the shelf."""

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

from inventory import buying
from inventory.models import PurchaseLine, PurchaseOrder
from shop import receiving, sending, slipping
from shop.api.filters import PurchaseOrderFilter
from shop.api.keys import keyed
from shop.api.people import acting_user
from shop.api.serializers import buying as shapes
from shop.api.serializers.supplying import SendSerializer

from .purchase_acts import PurchaseActs, answer, brief, whole
from .purchase_papers import PurchasePapers
from .shared import ByNumber, body


class PurchaseOrders(ByNumber, PurchaseActs, PurchasePapers, viewsets.ReadOnlyModelViewSet[PurchaseOrder]):
    """Orders to suppliers and what has come of them."""

    letter = "B"
    filterset_class = PurchaseOrderFilter

    def get_queryset(self) -> QuerySet[PurchaseOrder]:
        return brief() if self.action in ("list", "paper") else whole()

    def get_serializer_class(self) -> type[BaseSerializer[PurchaseOrder]]:
        brief = self.action == "list"
        return shapes.PurchaseOrderBriefSerializer if brief else shapes.PurchaseOrderSerializer

    @extend_schema(
        request=shapes.WritePurchaseOrderSerializer, responses={201: shapes.PurchaseOrderSerializer}
    )
    @keyed()
    def create(self, request: Request) -> Response:
        """Write a draft by hand."""
        wish = body(shapes.WritePurchaseOrderSerializer, request)
        lines = {line["part"].pk: line["quantity"] for line in wish["lines"]}
        return answer(buying.write_order(acting_user(request), wish["supplier"], lines), 201)

    @extend_schema(request=SendSerializer, responses=shapes.PurchaseOrderSerializer)
    @action(detail=True, methods=["post"])
    @keyed()
    def send(self, request: Request, **_: Any) -> Response:
        """Send it, once it is approved or within your limit: from now on its lines are counted on."""
        wish = body(SendSerializer, request)
        return answer(sending.send(acting_user(request), self.get_object(), **wish))

    @extend_schema(
        request=shapes.SlipSerializer,
        responses=shapes.PurchaseOrderSerializer,
        parameters=[OpenApiParameter("line", OpenApiTypes.INT, "path")],
    )
    @action(detail=True, methods=["post"], url_path=r"lines/(?P<line>\d{1,18})/slip")
    @keyed()
    def slip(self, request: Request, line: str, **_: Any) -> Response:
        """The supplier names another day: whoever waits for it is tied anew, and the counter hears."""
        wish, order = body(shapes.SlipSerializer, request), self.get_object()
        lines = PurchaseLine.objects.select_related("order__supplier")
        found = get_object_or_404(lines, pk=int(line), order=order)
        slipping.slip(acting_user(request), found, wish["due"], wish["reason"])
        return answer(order)

    @extend_schema(request=shapes.ReceiveSerializer, responses={201: shapes.ReceiptSerializer})
    @action(detail=True, methods=["post"])
    @keyed()
    def receive(self, request: Request, **_: Any) -> Response:
        """Book a delivery in and put it away; orders that waited for it go ahead."""
        wish = body(shapes.ReceiveSerializer, request)
        receipt = receiving.receive(
            acting_user(request),
            self.get_object(),
            delivery_note=wish["delivery_note"],
            quantities={line["line"]: line["quantity"] for line in wish["lines"] if line["quantity"]},
            lots={line["line"]: line["lots"] for line in wish["lines"] if line["lots"]},
            charges=wish["charges"],
            keep_over=wish["keep_over"],
            spoilt={line["line"]: line["spoilt"] for line in wish["lines"] if line["spoilt"]},
            not_owed=[line["line"] for line in wish["lines"] if not line["owed"]],
            remark=wish["remark"],
        )
        return Response(shapes.ReceiptSerializer(receipt).data, status=201)
