"""The order: where it stands, when it ships, what it waits for, what went into it."""

from __future__ import annotations

from functools import cached_property
from typing import Any

from django.contrib import messages
from django.http import QueryDict
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils import timezone

from inventory.models import Part, ReservationLine
from inventory.promising import promise
from shop.desks.counter import ending
from shop.desks.page import DeskPage, Sheet
from shop.desks.rights import BUY, PICK, SELL
from shop.models import AsBuilt, Order
from shop.wants import turns, wants_of


class OrderSheet(DeskPage):
    template_name = "desks/counter/order.html"
    rights = (*SELL, *PICK, *BUY)
    acts = ending.ACTS

    @cached_property
    def order(self) -> Order:
        orders = Order.objects.select_related("customer", "quote", "reservation", "accepted_by")
        return get_object_or_404(orders, pk=self.kwargs["pk"])

    def sheet(self) -> Sheet:
        return Sheet(f"Order of {self.order.customer}", self.order.number)

    def context(self) -> dict[str, Any]:
        built = AsBuilt.objects.filter(order_kit__order=self.order)
        return {
            "order": self.order,
            "states": Order.State.choices,
            "kits": self.order.kits.select_related("quote_kit__kit"),
            "coming": lines_to_come(self.order),
            "short": _short(self.order),
            "parcels": self.order.parcels.all(),
            "built": built.select_related("order_kit__quote_kit", "part__maker", "lot"),
            **ending.ending(self.order, self.user, self.request.POST),
        }

    def do_cancel(self, typed: QueryDict) -> str:
        messages.success(self.request, ending.cancelled(self.user, self.order, typed))
        return reverse("order", args=[self.order.pk])

    def do_take_back(self, typed: QueryDict) -> str:
        messages.success(self.request, ending.taken_back(self.user, self.order, typed))
        return reverse("order", args=[self.order.pk])


def lines_to_come(order: Order) -> list[ReservationLine]:
    """What is kept for the order from deliveries that are still to come."""
    lines = ReservationLine.objects.filter(
        reservation=order.reservation_id, purchase_line__isnull=False
    ).select_related("part__maker", "purchase_line__order__supplier")
    return list(lines) if order.reservation_id and order.state == Order.State.WAITING else []


def _short(order: Order) -> list[dict[str, Any]]:
    """The parts that a waiting order with nothing kept for it lacks, and when they can be here."""
    if order.reservation_id or order.state != Order.State.WAITING:
        return []
    told = promise(wants_of(order.quote), timezone.now(), after=turns(before=order)).lines
    parts = Part.objects.select_related("maker").in_bulk([line.part_id for line in told])
    return [{"part": parts[line.part_id], "line": line} for line in told if line.free < line.wanted]
