"""Orders and parcels: read, packed, shipped."""

from __future__ import annotations

from typing import Any

from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema
from rest_framework import mixins, viewsets
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.serializers import BaseSerializer

from shop import packing
from shop.api.filters import OrderFilter
from shop.api.keys import keyed
from shop.api.people import acting_user
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


def _whole(orders: QuerySet[Order]) -> QuerySet[Order]:
    return orders.select_related("reservation").prefetch_related(
        "kits__quote_kit", "kits__as_built__part__maker", "kits__as_built__lot", "parcels__order"
    )


def order_answer(order: Order, status: int = 200) -> Response:
    """The order read anew, so that nothing fetched before the act is answered."""
    fresh = _whole(Order.objects.select_related("customer", "quote")).get(pk=order.pk)
    return Response(shapes.OrderSerializer(fresh).data, status=status)
