"""The papers of an order to a supplier, as they go with the letter."""

from __future__ import annotations

from typing import Any

from django.http import HttpResponse
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework import viewsets
from rest_framework.decorators import action
from rest_framework.renderers import JSONRenderer
from rest_framework.request import Request

from inventory.models import PurchaseOrder
from shop.api.people import ReadsOrderPapers
from shop.documents.purchase_files import download_of

from .stock import CsvRenderer


class PdfRenderer(JSONRenderer):
    """A PDF goes past every renderer: what comes here is a problem, which is JSON."""

    media_type = "application/pdf"
    format = "pdf"


class PurchasePapers(viewsets.GenericViewSet[PurchaseOrder]):
    """Of the viewset of purchase orders."""

    @extend_schema(
        responses={(200, "application/pdf"): OpenApiTypes.BINARY, (200, "text/csv"): OpenApiTypes.STR}
    )
    @action(
        detail=True,
        permission_classes=(ReadsOrderPapers,),
        renderer_classes=(PdfRenderer, CsvRenderer),
    )
    def paper(self, request: Request, **_: Any) -> HttpResponse:
        """The order as its supplier gets it, as PDF; as text/csv (or with `format=csv`) its lines alone.

        The PDF of a draft says that it is no order yet.
        """
        assert request.accepted_renderer is not None
        return download_of(self.get_object(), request.accepted_renderer.format)
