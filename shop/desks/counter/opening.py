"""What is told on opening something of the kit sheet: a slot's candidates, and what is in the way of one.

Both are asked for by the page itself, which puts the answer in place; without scripts the first is a
part of the kit sheet, and the second a sheet of its own.
"""

from __future__ import annotations

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone

from kits.options import Option, slot_options
from kits.whole_kits import WholeKits
from shop.desks.counter.kit_sheet import opened_slot
from shop.desks.counter.kits import OfKit
from shop.desks.counter.offers import Way, own_slot_apart, said_of
from shop.desks.page import Sheet, title_block
from shop.desks.typed import text


class KitSlot(OfKit):
    """The candidates of one slot."""

    def get(self, request: HttpRequest, **_: Any) -> HttpResponse:
        code = str(self.kwargs["code"])
        if not _by_page(request):
            return redirect(f"{reverse('kit', args=[self.kit.pk])}?slot={code}#slot-{code}")
        now = timezone.now()
        row = opened_slot(self.kit, now, code)
        if row is None:
            raise Http404
        return render(request, "desks/counter/slot_list.html", {"kit": self.kit, "row": row, "now": now})


class InTheWay(OfKit):
    """Why a candidate is in no whole kit, and the cheapest ways out, each one click."""

    def get(self, request: HttpRequest, **_: Any) -> HttpResponse:
        slot, key = text(request.GET, "slot"), text(request.GET, "key")
        kits = WholeKits(self.kit, timezone.now())
        if not kits.offers(slot, key):
            raise Http404
        sheet = Sheet("What is in the way", f"{self.kit.number}-W")
        context = {
            **title_block(request, sheet),
            **_told(kits, slot, key, self._option(kits, slot, key)),
            "kit": self.kit,
            "slot": slot,
        }
        name = "in_the_way" if _by_page(request) else "in_the_way_sheet"
        return render(request, f"desks/counter/{name}.html", context)

    def _option(self, kits: WholeKits, slot: str, key: str) -> Option:
        told = slot_options(self.kit, kits.now, beside=kits, only=slot)
        return next(one for of in told if of.code == slot for one in of.options if one.key == key)


def _told(kits: WholeKits, slot: str, key: str, option: Option) -> dict[str, Any]:
    """Meanwhile the candidate may have become possible: then the way is the best kit with it."""
    found = kits.around(slot, key)
    blocked = found.in_the_way
    name = next(one.name for one in kits.conversion.slots if one.code == slot)
    ways = blocked.ways_out if blocked else (found.best,) if found.best else ()
    return {
        "option": option,
        "blocked": blocked,
        "said": said_of(blocked.reasons, own_slot_apart(option.reasons, name)) if blocked else [],
        "ways": [Way.of(way, (slot, key), agreement=option.agreement) for way in ways],
        "key": key,
    }


def _by_page(request: HttpRequest) -> bool:
    """Whether the page asks, to put the answer in place."""
    return "HX-Request" in request.headers
