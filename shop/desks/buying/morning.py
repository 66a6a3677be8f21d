"""The desk that buying is done from every morning: what needs somebody today, and what would mend it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any
from urllib.parse import urlencode

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone
from django.utils.cache import patch_vary_headers

from inventory.acting import ActError
from inventory.alerting import snooze, wake
from inventory.buying import approve, draft_suggested, write_order
from inventory.models import Alert, PurchaseOrder, Supplier
from shop.desks.buying.following import SENTENCE, FollowsUp, ticked_in
from shop.desks.buying.needs import asked, needs
from shop.desks.buying.paperwork import find_orders, paperwork
from shop.desks.buying.suggested import proposed, wanted
from shop.desks.counter.finding import waiting_orders
from shop.desks.named import part_numbered
from shop.desks.page import Sheet, status_of
from shop.desks.rights import APPROVE_ORDERS, BUY
from shop.desks.typed import day, label, text, whole

# The element of the page that is changed in place; scripts ask for it by this name.
NEEDS = "needs"


class Buying(FollowsUp):
    template_name = "desks/buying/buying.html"
    rights = (*BUY, *APPROVE_ORDERS)
    acts = ("snooze", "wake", "draft", "write", "approve", *FollowsUp.follow_up)

    def sheet(self) -> Sheet:
        return Sheet("What needs buying today", "3-1")

    def at(self, section: str) -> str:
        return f"{reverse('buying')}#{section}"

    @property
    def in_place(self) -> bool:
        """Only the alerts are asked for, to be put where the old ones stand."""
        return self.request.headers.get("HX-Target") == NEEDS

    def page(
        self, request: HttpRequest, *, typed: QueryDict, refusal: ActError | None = None
    ) -> HttpResponse:
        if self.in_place:
            context = {"typed": typed, "refusal": refusal, "in_place": True, **needs(timezone.now(), typed)}
            answer = render(request, "desks/buying/needs.html", context, status=status_of(refusal))
        else:
            answer = super().page(request, typed=typed, refusal=refusal)
        patch_vary_headers(answer, ["HX-Target"])
        return answer

    def context(self) -> dict[str, Any]:
        now = timezone.now()
        typed = self.request.POST or self.request.GET
        return {
            **needs(now, typed),
            **paperwork(self.user, now),
            "proposed": proposed(now, typed),
            "suppliers": Supplier.objects.filter(offers__isnull=False).distinct(),
            "waiting": waiting_orders(),
            "found": find_orders(text(self.request.GET, "find").replace("\x00", "")),
            "ticked_orders": typed.getlist("order"),
            "ticked_lines": typed.getlist("late"),
        }

    def do_snooze(self, typed: QueryDict) -> str:
        alert = self._alert(typed)
        until = day(typed, "until", "The day until which it is left")
        reason = label(typed, "reason", "The reason to leave it", most=SENTENCE)
        snoozed = snooze(self.user, alert, until, reason)
        messages.success(self.request, f"Left until {until:%-d %b %Y}: {snoozed.part.number}.")
        return self._back(typed)

    def do_wake(self, typed: QueryDict) -> str:
        woken = wake(self.user, self._alert(typed))
        messages.success(self.request, f"Back in the list: {woken.part.number}.")
        return self._back(typed)

    def do_draft(self, typed: QueryDict) -> str:
        order = draft_suggested(self.user, *wanted(typed))
        messages.success(
            self.request, f"Drafted: {order.number} to {order.supplier}. Look it over, then approve it below."
        )
        return self.at("unsent")

    def do_write(self, typed: QueryDict) -> str:
        """A draft that nothing suggests; other parts are added on its sheet."""
        supplier = get_object_or_404(Supplier, pk=whole(typed, "write_supplier", "The supplier"))
        part = part_numbered(typed, "write_part", "The part")
        quantity = whole(typed, "write_quantity", f"How many {part.number}")
        order = write_order(self.user, supplier, {part.pk: quantity})
        messages.success(self.request, f"Drafted: {order.number} to {supplier}. Add what else to order.")
        return reverse("purchase", args=[order.pk])

    def do_approve(self, typed: QueryDict) -> str:
        ticked = PurchaseOrder.objects.filter(pk__in=ticked_in(typed, "order"))
        if not ticked:
            raise ActError("No draft is ticked: tick those to approve.", code="nothing-ticked")
        approved = approve(self.user, list(ticked.order_by("pk")))
        messages.success(self.request, f"Approved: {_numbers(approved)}. They are to be sent.")
        return self.at("unsent")

    def _alert(self, typed: QueryDict) -> Alert:
        alerts = Alert.objects.select_related("part__maker")
        return get_object_or_404(alerts, pk=whole(typed, "alert", "The alert"))

    @staticmethod
    def _back(typed: QueryDict) -> str:
        """To the same alerts as before."""
        cause, all_of_them = asked(typed)
        query = {"cause": cause} if cause else {}
        query |= {"all": "1"} if all_of_them else {}
        return reverse("buying") + (f"?{urlencode(query)}" if query else "") + f"#{NEEDS}"


def _numbers(orders: Sequence[PurchaseOrder]) -> str:
    return ", ".join(order.number for order in orders)
