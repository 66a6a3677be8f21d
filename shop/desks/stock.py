"""Looking up stock: for every desk."""

from __future__ import annotations

from typing import Any

from django.db.models import F, Q, QuerySet
from django.shortcuts import get_object_or_404
from django.utils import timezone

from inventory.models import Balance, Part, PurchaseLine, scan_key
from inventory.promising import free
from shop.desks.page import DeskPage, Sheet
from shop.desks.typed import text

MOST = 40


def find_parts(words: str) -> QuerySet[Part]:
    """Parts of which every word is in the name, maker or category, or which the number belongs to."""
    named = Q()
    for word in words.split():
        named &= (
            Q(name__icontains=word)
            | Q(number__icontains=word)
            | Q(maker__name__icontains=word)
            | Q(category__name__icontains=word)
        )
    key = scan_key(words)
    numbered = Q(key__startswith=key) | Q(alternate_numbers__key__startswith=key) if key else Q()
    found = Part.objects.filter(named | numbered).distinct() if words.strip() else Part.objects.none()
    return found.select_related("maker", "category", "stock", "home")


class StockSearch(DeskPage):
    template_name = "desks/stock.html"

    def sheet(self) -> Sheet:
        return Sheet("Stock", "4-1")

    def context(self) -> dict[str, Any]:
        parts = list(find_parts(text(self.request.GET, "find"))[: MOST + 1])
        return {**with_stock(parts[:MOST]), "more": len(parts) > MOST, "most": MOST}


class PartSheet(DeskPage):
    template_name = "desks/part.html"

    def sheet(self) -> Sheet:
        return Sheet(f"Part {self.part.number}", f"4-{self.part.pk}")

    @property
    def part(self) -> Part:
        parts = Part.objects.select_related("maker", "category", "stock", "home", "superseded_by__new__maker")
        return get_object_or_404(parts, pk=self.kwargs["pk"])

    def context(self) -> dict[str, Any]:
        part = self.part
        return {
            "part": part,
            **with_stock([part]),
            "balances": Balance.objects.filter(part=part, quantity__gt=0).select_related("place", "lot"),
            "coming": PurchaseLine.objects.filter(
                part=part, order__state="sent", received__lt=F("quantity")
            ).select_related("order__supplier"),
            "features": part.features.select_related("kind"),
            "offers": part.offers.select_related("supplier"),
            "numbers": part.alternate_numbers.all(),
        }


def with_stock(parts: list[Part]) -> dict[str, Any]:
    """The parts as rows with what is free of each now."""
    now = timezone.now()
    ids = [part.pk for part in parts]
    can_go = free(ids, now) if ids else {}
    return {"rows": [{"part": part, "free": can_go.get(part.pk, 0)} for part in parts], "now": now}
