"""Orders and parcels: read, packed, shipped, cancelled, taken back."""

from __future__ import annotations

from typing import Any

from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema
from rest_framework import mixins, viewsets
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.serializers import BaseSerializer

from shop import cancelling, packing, returning
from shop.api.filters import OrderFilter
from shop.api.keys import keyed
from shop.api.people import acting_user
from shop.api.serializers import ending, returns
from shop.api.serializers import selling as shapes
from shop.models import Order, Parcel

from .shared import ByNumber, body


class Orders(ByNumber, viewsets.ReadOnlyModelViewSet[Order]):
    """What customers have taken, and how far it is."""

    letter = "S"
    filterset_class = OrderFilter

    def get_queryset(self) -> QuerySet[Order]:
        orders = Order.objects.select_related("customer", "quote")
        return orders if self.action == "list" else _whole(orders)

    def get_serializer_class(self) -> type[BaseSerializer[Order]]:
        return shapes.OrderBriefSerializer if self.action == "list" else shapes.OrderSerializer

    @extend_schema(request=shapes.PackSerializer, responses={201: shapes.ParcelSerializer})
    @action(detail=True, methods=["post"])
    @keyed()
    def pack(self, request: Request, **_: Any) -> Response:
        """Pack what was picked, and record what really went into each kit."""
        wish = body(shapes.PackSerializer, request)
        parcel = packing.pack(acting_user(request), self.get_object(), lots=wish["lots"])
        return Response(shapes.ParcelSerializer(parcel).data, status=201)

    @extend_schema(request=ending.CancelSerializer, responses=ending.CancelledSerializer)
    @action(detail=True, methods=["post"])
    @keyed()
    def cancel(self, request: Request, **_: Any) -> Response:
        """Cancel an order that has not left: its parts are anybody's again."""
        wish = body(ending.CancelSerializer, request)
        cancelled = cancelling.cancel(acting_user(request), self.get_object(), **wish)
        answer = {
            "order": fresh(cancelled.order),
            "back": cancelled.back,
            "missed": cancelled.missed,
        }
        return Response(ending.CancelledSerializer(answer).data)

    @extend_schema(request=returns.TakeBackSerializer, responses={201: returns.ReturnSerializer})
    @action(detail=True, methods=["post"], url_path="take-back")
    @keyed()
    def take_back(self, request: Request, **_: Any) -> Response:
        """Book what came back of a shipped order: good pieces into stock, spoilt ones to scrap."""
        wish = body(returns.TakeBackSerializer, request)
        lines = [
            (line["part"], line["quantity"], returning.lot_of(line["part"], line["lot"]), line["condition"])
            for line in wish["lines"]
        ]
        made = returning.take_back(acting_user(request), self.get_object(), lines, wish["reason"])
        return Response(returns.ReturnSerializer(made).data, status=201)


class Parcels(ByNumber, mixins.RetrieveModelMixin, viewsets.GenericViewSet[Parcel]):
    """What leaves the house."""

    letter = "P"
    queryset = Parcel.objects.select_related("order")
    serializer_class = shapes.ParcelSerializer

    @extend_schema(request=shapes.ShipSerializer, responses=shapes.ParcelSerializer)
    @action(detail=True, methods=["post"])
    @keyed()
    def ship(self, request: Request, **_: Any) -> Response:
        """Hand it to the carrier: the stock leaves the house and the commitment is used up."""
        parcel = packing.ship(acting_user(request), self.get_object(), **body(shapes.ShipSerializer, request))
        return Response(shapes.ParcelSerializer(parcel).data)

    @extend_schema(request=None, responses=shapes.OrderSerializer)
    @action(detail=True, methods=["post"])
    @keyed()
    def unpack(self, request: Request, **_: Any) -> Response:
        """Take a parcel apart that has not left: its pieces lie on the bench, and there is no parcel."""
        return order_answer(packing.unpack(acting_user(request), self.get_object()))


def _whole(orders: QuerySet[Order]) -> QuerySet[Order]:
    return orders.select_related("reservation").prefetch_related(
        "kits__quote_kit",
        "kits__as_built__part__maker",
        "kits__as_built__lot",
        "parcels__order",
        "returns__by",
        "returns__lines__part__maker",
        "returns__lines__lot",
    )


def order_answer(order: Order, status: int = 200) -> Response:
    """The order read anew, so that nothing fetched before the act is answered."""
    return Response(shapes.OrderSerializer(fresh(order)).data, status=status)


def fresh(order: Order) -> Order:
    return _whole(Order.objects.select_related("customer", "quote")).get(pk=order.pk)
