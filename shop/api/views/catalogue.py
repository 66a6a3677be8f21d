"""Engines, parts and kit templates: read only; the catalogue desk keeps them through the admin."""

from __future__ import annotations

from typing import Any

from django.db.models import Prefetch, QuerySet
from drf_spectacular.utils import extend_schema
from rest_framework import viewsets
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.serializers import BaseSerializer

from inventory.models import Part
from kits import customising
from kits.models import Engine, KitTemplate, TemplateRevision
from shop.api.filters import EngineFilter, PartFilter, TemplateFilter
from shop.api.serializers import catalogue as shapes

from .demand import PeriodsOfPart


class Engines(viewsets.ReadOnlyModelViewSet[Engine]):
    """Engines by family and variant, found by code, plate, year or words."""

    filterset_class = EngineFilter
    lookup_field = "code"
    lookup_value_regex = r"[^/\x00]+"

    def get_queryset(self) -> QuerySet[Engine]:
        engines = Engine.objects.select_related("family")
        if self.action == "retrieve":
            return engines.prefetch_related("attributes", "features__kind")
        return engines

    def get_serializer_class(self) -> type[BaseSerializer[Engine]]:
        return shapes.EngineSerializer if self.action == "list" else shapes.EngineDetailSerializer

    @extend_schema(responses=shapes.ConversionSerializer(many=True), filters=False)
    @action(detail=True, pagination_class=None)
    def conversions(self, _request: Request, **_: Any) -> Response:
        """Every conversion, whether it exists for this engine, and if not, what there is instead."""
        found = customising.conversions_for(self.get_object())
        return Response(shapes.ConversionSerializer(found, many=True).data)


class Parts(PeriodsOfPart, viewsets.ReadOnlyModelViewSet[Part]):
    """Parts, found by number or alternate number, name, maker and category."""

    filterset_class = PartFilter

    def get_queryset(self) -> QuerySet[Part]:
        parts = Part.objects.select_related("maker", "category").prefetch_related("alternate_numbers")
        if self.action == "retrieve":
            return parts.select_related("superseded_by__new__maker").prefetch_related("features__kind")
        return parts

    def get_serializer_class(self) -> type[BaseSerializer[Part]]:
        return shapes.PartSerializer if self.action == "list" else shapes.PartDetailSerializer


class Templates(viewsets.ReadOnlyModelViewSet[KitTemplate]):
    """Kit templates with their released revision: its slots, and the engines it is released for."""

    filterset_class = TemplateFilter
    lookup_field = "code"

    def get_queryset(self) -> QuerySet[KitTemplate]:
        released = TemplateRevision.objects.filter(state="released").prefetch_related("engines")
        if self.action == "retrieve":
            released = released.prefetch_related("slots")
        return KitTemplate.objects.prefetch_related(Prefetch("revisions", released))

    def get_serializer_class(self) -> type[BaseSerializer[KitTemplate]]:
        return shapes.TemplateBriefSerializer if self.action == "list" else shapes.TemplateDetailSerializer
