"""The quote: what was offered; hold it, accept it, withdraw it, print it."""

from __future__ import annotations

from functools import cached_property
from typing import Any

from django.contrib import messages
from django.http import QueryDict
from django.shortcuts import get_object_or_404
from django.urls import reverse

from inventory.models import Reservation
from shop.desks.page import DeskPage, Sheet
from shop.desks.rights import SELL
from shop.desks.typed import maybe_whole
from shop.models import Quote
from shop.ordering import accept
from shop.quoting import hold, withdraw


class QuoteSheet(DeskPage):
    """What was offered stays as it was made; only what is done about it changes."""

    template_name = "desks/counter/quote.html"
    rights = SELL
    acts = ("hold", "accept", "withdraw")

    @cached_property
    def quote(self) -> Quote:
        quotes = Quote.objects.select_related("customer", "reservation", "made_by", "order")
        return get_object_or_404(quotes, pk=self.kwargs["pk"])

    def sheet(self) -> Sheet:
        return Sheet(f"Quote for {self.quote.customer}", self.quote.number)

    def context(self) -> dict[str, Any]:
        kept = self.quote.reservation
        return {
            "quote": self.quote,
            "kits": self.quote.kits.select_related("kit__engine__family").prefetch_related("lines__part"),
            "held": kept if kept and kept.state == Reservation.State.KEPT else None,
            "order": getattr(self.quote, "order", None),
        }

    def do_hold(self, typed: QueryDict) -> str:
        held = hold(self.user, self.quote, hours=maybe_whole(typed, "hours", "Hours to hold"))
        messages.success(self.request, f"The parts are held for quote {held.number}.")
        return reverse("quote", args=[held.pk])

    def do_accept(self, _typed: QueryDict) -> str:
        return reverse("order", args=[accept(self.user, self.quote).pk])

    def do_withdraw(self, _typed: QueryDict) -> str:
        gone = withdraw(self.user, self.quote)
        messages.success(self.request, f"Quote {gone.number} is withdrawn; nothing is held for it.")
        return reverse("quote", args=[gone.pk])
