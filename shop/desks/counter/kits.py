"""The kit: swapping parts, and making a quote of it."""

from __future__ import annotations

from functools import cached_property
from typing import Any
from urllib.parse import urlencode

from django.db import transaction
from django.http import QueryDict
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils import timezone

from inventory.acting import ActError
from kits.customising import let_follow, swap, swap_together
from kits.models import CustomKit
from shop.customers import add_customer
from shop.desks.counter.finding import find_customers
from shop.desks.counter.kit_sheet import kit_sheet, kit_summary
from shop.desks.page import DeskPage, DeskView, Sheet
from shop.desks.rights import SELL
from shop.desks.typed import label, maybe_day, needed, text, whole, words
from shop.models import Customer, Quote
from shop.quoting import quote

OWN = "own-"  # a size of the customer's own part comes in a field named own-<feature kind>
CHOSEN, FOLLOWS = "chosen-", "follows-"  # and what fills a slot in one named chosen-<slot>, follows-<slot>
ALSO = 6


class OfKit(DeskView):
    rights = SELL

    @cached_property
    def kit(self) -> CustomKit:
        kits = CustomKit.objects.select_related("revision__template", "engine__family", "made_by")
        return get_object_or_404(kits, pk=self.kwargs["pk"])


class KitSheet(OfKit, DeskPage):
    template_name = "desks/counter/kit.html"
    acts = ("swap", "together", "follow")

    def sheet(self) -> Sheet:
        return Sheet(self.kit.revision.template.name, self.kit.number)

    def context(self) -> dict[str, Any]:
        return {
            **kit_sheet(self.kit, timezone.now(), opened=self._asked("slot"), chosen=self._asked("check")),
            "quotes": Quote.objects.filter(kits__kit=self.kit),
        }

    def _asked(self, field: str) -> str:
        return text(self.request.POST, field) or text(self.request.GET, field)

    def do_swap(self, typed: QueryDict) -> str:
        slot, key = text(typed, "slot"), needed(typed, "key", "What goes into the slot")
        own = _named(typed, OWN) if key == "own" else {}
        agreed, version = label(typed, "agreed", "Who agreed", most=200), _version(typed)
        swap(self.user, self.kit, slot, key, own=own, agreed=agreed, version=version)
        return self._again(typed)

    def do_together(self, typed: QueryDict) -> str:
        """A candidate, or a way out, with all that changes with it."""
        swap_together(
            self.user,
            self.kit,
            _named(typed, CHOSEN),
            follows=_named(typed, FOLLOWS),
            agreed=label(typed, "agreed", "Who agreed", most=200),
            version=_version(typed),
        )
        return self._again(typed)

    def do_follow(self, typed: QueryDict) -> str:
        """No longer insist on what fills a slot."""
        let_follow(self.user, self.kit, text(typed, "slot"), version=_version(typed))
        return self._again(typed)

    def _again(self, typed: QueryDict) -> str:
        slot = text(typed, "slot")
        again = urlencode({"slot": slot, "check": text(typed, "check")})
        return f"{reverse('kit', args=[self.kit.pk])}?{again}#{f'slot-{slot}' if slot else 'parts-heading'}"


def _named(typed: QueryDict, prefix: str) -> dict[str, str]:
    """The fields that begin so, without that, as far as something is in them."""
    found = {field.removeprefix(prefix): text(typed, field) for field in typed if field.startswith(prefix)}
    return {name: value for name, value in found.items() if value}


def _version(typed: QueryDict) -> int:
    return whole(typed, "version", "The kit's version")


class KitQuote(OfKit, DeskPage):
    """Who it is for, how many, and which other kits go on the same quote."""

    template_name = "desks/counter/kit_quote.html"
    acts = ("quote",)

    def sheet(self) -> Sheet:
        return Sheet("Who is it for?", f"{self.kit.number}-Q")

    def context(self) -> dict[str, Any]:
        others = CustomKit.objects.filter(made_by=self.user, quoted__isnull=True).exclude(pk=self.kit.pk)
        return {
            **kit_summary(self.kit, timezone.now()),
            "customers": find_customers(words(self.request.GET, "who") or words(self.request.POST, "who")),
            "channels": Quote.Channel.choices,
            "others": others.select_related("revision__template", "engine__family")[:ALSO],
            "also": self.request.POST.getlist("also"),
        }

    def do_quote(self, typed: QueryDict) -> str:
        pieces = whole(typed, "quantity", "How many kits")
        also = [int(pk) for pk in typed.getlist("also") if pk.isdigit()]
        kits = [(self.kit, pieces), *((kit, 1) for kit in CustomKit.objects.filter(pk__in=also))]
        # One transaction for both acts: a refused quote leaves no customer behind who has none.
        with transaction.atomic():
            customer = self._customer(typed)
            made = quote(
                self.user,
                customer,
                kits,
                channel=text(typed, "channel") or Quote.Channel.PHONE,
                wanted_on=maybe_day(typed, "wanted_on", "The day that the customer wants it on"),
            )
        return reverse("quote", args=[made.pk])

    def _customer(self, typed: QueryDict) -> Customer:
        chosen, name = text(typed, "customer"), text(typed, "name")
        if chosen.isdigit():
            return get_object_or_404(Customer, pk=int(chosen))
        if not name:
            raise ActError(
                "Nobody is named: find the customer and choose them, or write the name of a new one.",
                code="no-customer",
            )
        return add_customer(self.user, name, phone=text(typed, "phone"), email=text(typed, "email"))
