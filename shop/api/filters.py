"""What lists can be narrowed by."""

from __future__ import annotations

from typing import Any

import django_filters as filters  # type: ignore[import-untyped]  # it has no types
from django.db.models import Exists, OuterRef, Q, QuerySet

from inventory.models import Alert, AlternateNumber, Demand, Difference, Part, PurchaseOrder, scan_key
from kits.models import Engine, KitTemplate
from shop.models import Customer, Order, Quote


class Filters(filters.FilterSet):  # type: ignore[misc]  # of a library without types
    """A list's filters; what they do not know is left unused."""


class EngineFilter(Filters):
    search = filters.CharFilter(method="by_words", label="In the code, family, name, maker or plate.")
    code = filters.CharFilter(lookup_expr="iexact")
    plate = filters.CharFilter(lookup_expr="icontains")
    year = filters.NumberFilter(method="by_year", min_value=1800, max_value=9999, label="Built in that year.")

    class Meta:
        model = Engine
        fields = ()

    def by_words(self, engines: QuerySet[Engine], _name: str, value: str) -> QuerySet[Engine]:
        """Every word has to be somewhere."""
        for word in value.split():
            engines = engines.filter(
                Q(code__icontains=word)
                | Q(name__icontains=word)
                | Q(plate__icontains=word)
                | Q(family__name__icontains=word)
                | Q(family__maker__icontains=word)
            )
        return engines

    def by_year(self, engines: QuerySet[Engine], _name: str, value: Any) -> QuerySet[Engine]:
        year = int(value)
        still_built = Q(built_to__isnull=True) | Q(built_to__gte=year)
        return engines.filter(still_built, built_from__lte=year)


class PartFilter(Filters):
    search = filters.CharFilter(
        method="by_words", label="How a number (also an alternate one) begins, or within the name."
    )
    number = filters.CharFilter(method="by_number", label="A whole number or alternate number, as scanned.")
    maker = filters.CharFilter(field_name="maker__code", label="The maker's code.")
    category = filters.CharFilter(field_name="category__code", label="The category's code.")
    standing = filters.ChoiceFilter(choices=Part.Standing.choices)

    class Meta:
        model = Part
        fields = ()

    def by_words(self, parts: QuerySet[Part], _name: str, value: str) -> QuerySet[Part]:
        found = Q(name__icontains=value.strip())
        if key := scan_key(value):
            found |= Q(key__startswith=key) | _known_as(key__startswith=key)
        return parts.filter(found)

    def by_number(self, parts: QuerySet[Part], _name: str, value: str) -> QuerySet[Part]:
        key = scan_key(value)
        return parts.filter(Q(key=key) | _known_as(key=key)) if key else parts.none()


class TemplateFilter(Filters):
    engine = filters.CharFilter(method="by_engine", label="Released for the engine of this code.")

    class Meta:
        model = KitTemplate
        fields = ()

    def by_engine(self, templates: QuerySet[KitTemplate], _name: str, value: str) -> QuerySet[KitTemplate]:
        return templates.filter(revisions__state="released", revisions__engines__code=value)


class CustomerFilter(Filters):
    name = filters.CharFilter(lookup_expr="icontains")

    class Meta:
        model = Customer
        fields = ()


class QuoteFilter(Filters):
    class Meta:
        model = Quote
        fields = ("state", "customer")


class DifferenceFilter(Filters):
    open = filters.BooleanFilter(field_name="settled_at", lookup_expr="isnull", label="Not settled yet.")
    supplier = filters.CharFilter(field_name="line__order__supplier__code", label="The supplier's code.")

    class Meta:
        model = Difference
        fields = ("kind",)


class OrderFilter(Filters):
    class Meta:
        model = Order
        fields = ("state", "customer")


class DemandFilter(Filters):
    class Meta:
        model = Demand
        fields = ("part", "kind", "one_off", "reference")


class AlertFilter(Filters):
    cause = filters.ChoiceFilter(choices=Alert.Cause.choices)

    class Meta:
        model = Alert
        fields = ("part",)


class PurchaseOrderFilter(Filters):
    supplier = filters.CharFilter(field_name="supplier__code", label="The supplier's code.")

    class Meta:
        model = PurchaseOrder
        fields = ("state",)


def _known_as(**key: str) -> Q:
    return Q(Exists(AlternateNumber.objects.filter(part=OuterRef("pk"), **key)))
