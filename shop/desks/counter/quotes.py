"""The quote: what was offered and when it could ship; hold it, swap on it, accept it, or end it."""

from __future__ import annotations

from functools import cached_property
from typing import Any

from django.contrib import messages
from django.http import QueryDict
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils import timezone

from inventory.models import Reservation
from kits.options import slot_options
from shop.desks.page import DeskPage, Sheet
from shop.desks.rights import SELL
from shop.desks.typed import label, maybe_whole, text, whole
from shop.losing import lose, missed_of
from shop.models import Quote, QuoteKit
from shop.ordering import accept
from shop.quoting import hold, live_hold, prolong, withdraw
from shop.requoting import as_quoted, swap_on_quote
from shop.sooner import quote_promise


class QuoteSheet(DeskPage):
    """What was offered stays as it was made; only what is done about it changes."""

    template_name = "desks/counter/quote.html"
    rights = SELL
    acts = ("hold", "prolong", "swap", "accept", "withdraw", "lose")

    @cached_property
    def quote(self) -> Quote:
        quotes = Quote.objects.select_related(
            "customer", "reservation", "made_by", "order", "replaces", "replaced_by"
        )
        return get_object_or_404(quotes, pk=self.kwargs["pk"])

    def sheet(self) -> Sheet:
        return Sheet(f"Quote for {self.quote.customer}", self.quote.number)

    def context(self) -> dict[str, Any]:
        kept, now = self.quote.reservation, timezone.now()
        is_open = self.quote.state == Quote.State.OPEN
        return {
            "quote": self.quote,
            "kits": self.quote.kits.select_related("kit__engine__family").prefetch_related("lines__part"),
            "held": live_hold(self.quote, now),
            "gave_way": kept is not None and kept.state == Reservation.State.GAVE_WAY,
            "order": getattr(self.quote, "order", None),
            "today": timezone.localdate(now),
            "promised": quote_promise(self.quote, now) if is_open else None,
            "swap": self._swap() if is_open else None,
            "reasons": Quote.LostFor.choices,
            "missed": [] if is_open else missed_of(self.quote),
        }

    def _swap(self) -> dict[str, Any] | None:
        """The slot that was asked for, and what may go into it; nothing where the kit is another by now."""
        asked = {**self.request.GET.dict(), **self.request.POST.dict()}
        kit, slot_code = text(asked, "kit"), text(asked, "slot")
        quoted = next((one for one in self.quote.kits.select_related("kit") if str(one.pk) == kit), None)
        if quoted is None or not as_quoted(quoted):
            return None
        slots = slot_options(quoted.kit, timezone.now(), only=slot_code)
        slot = next((one for one in slots if one.code == slot_code), None)
        if slot is None:
            return None
        # The sizes of the customer's own are given on the kit's sheet.
        return {"kit": quoted, "slot": slot, "options": [one for one in slot.options if one.key != "own"]}

    def do_hold(self, typed: QueryDict) -> str:
        held = hold(self.user, self.quote, hours=maybe_whole(typed, "hours", "Hours to hold"))
        messages.success(self.request, f"The parts are held for quote {held.number}.")
        return reverse("quote", args=[held.pk])

    def do_prolong(self, typed: QueryDict) -> str:
        held = prolong(self.user, self.quote, hours=whole(typed, "hours", "Hours from now to hold"))
        messages.success(self.request, f"The hold for quote {held.number} has another end.")
        return reverse("quote", args=[held.pk])

    def do_swap(self, typed: QueryDict) -> str:
        kit = get_object_or_404(QuoteKit, quote=self.quote, pk=whole(typed, "kit", "The kit"))
        slot, key = text(typed, "slot"), text(typed, "key")
        agreed = label(typed, "agreed", "Who agreed", most=200)
        made = swap_on_quote(self.user, self.quote, kit, slot, key, agreed=agreed)
        messages.success(self.request, f"Quote {made.number} replaces {self.quote.number}.")
        return reverse("quote", args=[made.pk])

    def do_accept(self, _typed: QueryDict) -> str:
        return reverse("order", args=[accept(self.user, self.quote).pk])

    def do_withdraw(self, _typed: QueryDict) -> str:
        gone = withdraw(self.user, self.quote)
        messages.success(self.request, f"Quote {gone.number} is withdrawn; nothing is held for it.")
        return reverse("quote", args=[gone.pk])

    def do_lose(self, typed: QueryDict) -> str:
        lost = lose(self.user, self.quote, text(typed, "why"), text(typed, "note")).quote
        messages.success(self.request, f"Quote {lost.number} is closed as lost; nothing is held for it.")
        return reverse("quote", args=[lost.pk])
