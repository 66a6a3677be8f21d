"""What the acts on the sheet of one order share: which order, which line, and where the sheet is."""

from __future__ import annotations

from functools import cached_property

from django.http import QueryDict
from django.shortcuts import get_object_or_404
from django.urls import reverse

from inventory.models import PurchaseLine, PurchaseOrder
from shop.desks.buying.paperwork import purchases
from shop.desks.page import DeskPage
from shop.desks.typed import whole


class OfOrder(DeskPage):
    @cached_property
    def order(self) -> PurchaseOrder:
        return get_object_or_404(purchases(), pk=self.kwargs["pk"])

    @property
    def address(self) -> str:
        return reverse("purchase", args=[self.kwargs["pk"]])

    def at(self, section: str) -> str:
        """The address of a section of the sheet."""
        return f"{self.address}#{section}"

    def line(self, typed: QueryDict, field: str) -> PurchaseLine:
        """The line of this order that a form names."""
        lines = PurchaseLine.objects.filter(order=self.order).select_related("order__supplier", "part__maker")
        return get_object_or_404(lines, pk=whole(typed, field, "The line"))
