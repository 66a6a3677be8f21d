"""Customers, for the desk that sells."""

from __future__ import annotations

from drf_spectacular.utils import extend_schema
from rest_framework import viewsets
from rest_framework.request import Request
from rest_framework.response import Response

from shop.api.filters import CustomerFilter
from shop.api.keys import keyed
from shop.api.people import KnowsCustomers, acting_user
from shop.api.serializers.selling import CustomerSerializer
from shop.customers import add_customer
from shop.models import Customer

from .shared import body


class Customers(viewsets.ReadOnlyModelViewSet[Customer]):
    """Who is quoted and shipped to."""

    permission_classes = (KnowsCustomers,)
    queryset = Customer.objects.all()
    serializer_class = CustomerSerializer
    filterset_class = CustomerFilter

    @extend_schema(request=CustomerSerializer, responses={201: CustomerSerializer})
    @keyed(required=False)
    def create(self, request: Request) -> Response:
        """Write a customer down; only the name has to be known."""
        customer = add_customer(acting_user(request), **body(CustomerSerializer, request))
        return Response(CustomerSerializer(customer).data, status=201)
