"""Buying: alerts become orders to suppliers; goods in books what comes of them."""

from __future__ import annotations

from functools import cached_property
from typing import Any

from django.conf import settings
from django.contrib import messages
from django.db.models import Count, F, Min, Q, QuerySet
from django.http import QueryDict
from django.shortcuts import get_object_or_404
from django.urls import reverse

from inventory.acting import ActError
from inventory.buying import order_from_alerts, send
from inventory.late_charges import charge_late
from inventory.models import Alert, Part, PurchaseLine, PurchaseOrder
from shop.desks.buying.deliveries import Bill, deliveries_of
from shop.desks.counter.finding import waiting_orders
from shop.desks.page import DeskPage, Sheet
from shop.desks.rights import BUY, GOODS_IN
from shop.desks.typed import day, label, listed, maybe_money, money, text, whole
from shop.receiving import receive
from shop.slipping import slip
from shop.templatetags.figures import money as written

CLOSED_SHOWN = 8
NEXT_FIRST = F("next_due").asc(nulls_last=True)


class Buying(DeskPage):
    template_name = "desks/buying/buying.html"
    rights = BUY
    acts = ("draft",)

    def sheet(self) -> Sheet:
        return Sheet("What to order", "3-1")

    def context(self) -> dict[str, Any]:
        orders = _purchases()
        return {
            "alerts": Alert.objects.filter(cleared_at__isnull=True).select_related("part__maker", "supplier"),
            "drafts": orders.filter(state=PurchaseOrder.State.DRAFT),
            "sent": orders.filter(state=PurchaseOrder.State.SENT).order_by(NEXT_FIRST),
            "closed": orders.filter(state=PurchaseOrder.State.CLOSED)[:CLOSED_SHOWN],
            "waiting": waiting_orders(),
            "ticked": self.request.POST.getlist("alert"),
        }

    def do_draft(self, typed: QueryDict) -> str:
        ticked = [int(pk) for pk in typed.getlist("alert") if pk.isdigit()]
        if not ticked:
            raise ActError("No alert is ticked: tick what to order.", code="nothing-ticked")
        drafts = order_from_alerts(self.user, list(Alert.objects.filter(pk__in=ticked)))
        numbers = ", ".join(draft.number for draft in drafts)
        messages.success(self.request, f"Drafted: {numbers}. Look them over, then send.")
        return reverse("purchase", args=[drafts[0].pk]) if len(drafts) == 1 else reverse("buying")


class GoodsIn(DeskPage):
    """What is expected at the dock, next first."""

    template_name = "desks/buying/goods_in.html"
    rights = (*GOODS_IN, *BUY)

    def sheet(self) -> Sheet:
        return Sheet("Goods in", "3-2")

    def context(self) -> dict[str, Any]:
        return {"sent": _purchases().filter(state=PurchaseOrder.State.SENT).order_by(NEXT_FIRST)}


class PurchaseSheet(DeskPage):
    """One order to a supplier: send it, then receive what comes, delivery by delivery."""

    template_name = "desks/buying/purchase.html"
    rights = (*BUY, *GOODS_IN)
    acts = ("send", "receive", "slip", "charge_late")

    @cached_property
    def order(self) -> PurchaseOrder:
        return get_object_or_404(_purchases(), pk=self.kwargs["pk"])

    def sheet(self) -> Sheet:
        return Sheet(f"Order to {self.order.supplier}", self.order.number)

    def context(self) -> dict[str, Any]:
        lines = list(self.order.lines.select_related("part__maker", "part__home"))
        return {
            "order": self.order,
            "lines": [{"line": line, "open": line.quantity - line.received} for line in lines],
            "total": sum(line.quantity * line.price for line in lines),
            "tracked": Part.Tracking.NONE,
            "came": deliveries_of(self.order),
        }

    def do_send(self, _typed: QueryDict) -> str:
        sent = send(self.user, self.order)
        messages.success(self.request, f"{sent.number} counts as sent to {sent.supplier}.")
        return reverse("purchase", args=[sent.pk])

    def do_slip(self, typed: QueryDict) -> str:
        """The supplier names another day for a line."""
        lines = PurchaseLine.objects.filter(order=self.order).select_related("order__supplier")
        line = get_object_or_404(lines, pk=whole(typed, "line", "The line"))
        due = day(typed, "due", "The day that the supplier names")
        slip(self.user, line, due, text(typed, "reason"))
        messages.success(self.request, f"{line.order} is due {due:%-d %b %Y}. Who waits for it is looked at.")
        return reverse("purchase", args=[self.order.pk])

    def do_receive(self, typed: QueryDict) -> str:
        quantities, lots = {}, {}
        for line in self.order.lines.select_related("part"):
            if text(typed, f"quantity-{line.pk}") in ("", "0"):
                continue
            quantities[line.pk] = whole(typed, f"quantity-{line.pk}", f"The quantity of {line.part.number}")
            lots[line.pk] = listed(typed, f"lots-{line.pk}")
        receipt = receive(
            self.user,
            self.order,
            delivery_note=label(typed, "delivery_note", "The number of the delivery note", most=60),
            quantities=quantities,
            lots={pk: codes for pk, codes in lots.items() if codes},
            charges=maybe_money(typed, "charges", "Freight, duty and the like"),
        )
        messages.success(self.request, f"Delivery note {receipt.delivery_note} is booked and put away.")
        return reverse("purchase", args=[self.order.pk])

    def do_charge_late(self, typed: QueryDict) -> str:
        """A bill for a delivery that was booked before, such as its freight."""
        receipt = get_object_or_404(self.order.receipts, pk=whole(typed, "receipt", "The delivery"))
        charges = charge_late(
            self.user,
            receipt,
            money(typed, "late_amount", "The amount of the bill"),
            label(typed, "late_reason", "What the bill is for", most=200),
        )
        bill = Bill(charges)
        messages.success(
            self.request,
            f"Booked for delivery note {receipt.delivery_note}, in {settings.SHOP_CURRENCY}: "
            f"{written(bill.here)} onto the pieces that are still here, {written(bill.gone)} spent on those "
            "that have left.",
        )
        return reverse("purchase", args=[self.order.pk])


def _purchases() -> QuerySet[PurchaseOrder]:
    still_open = Q(lines__received__lt=F("lines__quantity"))
    return PurchaseOrder.objects.select_related("supplier", "made_by").annotate(
        lines_open=Count("lines", filter=still_open), next_due=Min("lines__due", filter=still_open)
    )
