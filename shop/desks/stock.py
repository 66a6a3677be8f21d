"""Looking up stock: for every desk."""

from __future__ import annotations

from functools import cached_property
from typing import Any, ClassVar

from django.contrib import messages
from django.db.models import Q, QuerySet
from django.http import HttpRequest, HttpResponse, HttpResponseBase, QueryDict
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils import timezone
from django.utils.safestring import mark_safe

from inventory import history
from inventory.acting import ActError
from inventory.buying import put_away
from inventory.history import Sieve
from inventory.models import Makeup, Movement, Part, scan_key
from inventory.promising import availability
from inventory.supplying import coming
from shop.desks.asking import FIELDS, older_than, sieve_from
from shop.desks.named import maybe_lot, place_in_shop
from shop.desks.page import DeskPage, Sheet
from shop.desks.promise_chart import draw_promise
from shop.desks.rights import CATALOGUE, GOODS_IN
from shop.desks.typed import label, whole, words
from shop.history_csv import history_csv
from shop.kept_for import kept_for
from shop.stock_figures import lying, stock_of

MOST = 40
KEEPERS_SHOWN = 60


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
    return found.select_related("maker", "category", "home")


class StockSearch(DeskPage):
    template_name = "desks/stock.html"

    def sheet(self) -> Sheet:
        return Sheet("Stock", "4-1")

    def context(self) -> dict[str, Any]:
        parts = list(find_parts(words(self.request.GET, "find"))[: MOST + 1])
        figures = stock_of(parts[:MOST], timezone.now()) if parts else []
        return {"rows": figures, "more": len(parts) > MOST, "most": MOST}


class PartSheet(DeskPage):
    """All that is known of one part in stock, and its history; pieces are carried to another place."""

    template_name = "desks/part.html"
    acts: ClassVar[tuple[str, ...]] = ("carry",)
    extra: dict[str, Any] | None = None

    def sheet(self) -> Sheet:
        return Sheet(f"Part {self.part.number}", f"4-{self.part.pk}")

    @cached_property
    def part(self) -> Part:
        parts = Part.objects.select_related("maker", "category", "home", "superseded_by__new__maker")
        return get_object_or_404(parts, pk=self.kwargs["pk"])

    def get(self, request: HttpRequest, **_: Any) -> HttpResponse:
        try:
            sieve, before = sieve_from(request.GET), older_than(request.GET)
        except ActError as refusal:
            self.extra = self.history(Sieve(), None)
            return self.page(request, typed=request.GET, refusal=refusal)
        self.extra = self.history(sieve, before)
        return self.page(request, typed=request.GET)

    def do_carry(self, typed: QueryDict) -> str:
        moved = put_away(
            self.user,
            self.part,
            origin=place_in_shop(typed, "carry_from", "The place that they are carried from"),
            destination=place_in_shop(typed, "carry_to", "The place that they are carried to"),
            quantity=whole(typed, "carry_pieces", "How many are carried"),
            lot=maybe_lot(self.part, typed, "carry_lot"),
            reference=label(typed, "carry_reference", "The reference", most=60),
        )
        messages.success(
            self.request,
            f"Carried: {moved.quantity} × {self.part.number} from {moved.origin} to {moved.destination}.",
        )
        return reverse("part", args=[self.part.pk])

    def history(self, sieve: Sieve, before: int | None) -> dict[str, Any]:
        """A page of the history, and how to come to the older ones and to all of it as CSV."""
        page = history.page(self.part, sieve, before=before)
        asked = self.request.GET.copy()
        for field in set(asked) - set(FIELDS):
            del asked[field]
        for field in [field for field in FIELDS if not asked.get(field)]:
            asked.pop(field, None)
        older = asked.copy()
        if page.before is not None:
            older["before"] = str(page.before)
        return {
            "page": page,
            "older": older.urlencode() if page.before is not None else "",
            "asked": asked.urlencode(),
            "sifted": not sieve.lets_all_through,
            "is_latest": before is None,
        }

    def context(self) -> dict[str, Any]:
        part, now, balances = self.part, timezone.now(), lying(self.part)
        makeups = Makeup.objects.filter(Q(part=part) | Q(component=part)).select_related("part__maker")
        inbound, promise, keepers = (
            coming([part.pk], now),
            availability([part.pk], now)[part.pk],
            kept_for(part, now),
        )
        return {
            "part": part,
            "figures": stock_of([part], now)[0],
            "sees_costs": self.user.has_perm("inventory.buy"),
            "balances": balances,
            "only_one": balances[0] if len(balances) == 1 else None,
            "may_carry": any(self.user.has_perm(right) for right in GOODS_IN),
            "may_define": any(self.user.has_perm(right) for right in CATALOGUE),
            "is_made_up": any(line.part_id == part.pk for line in makeups),
            "goes_into": [line for line in makeups if line.component_id == part.pk],
            "keepers": keepers[:KEEPERS_SHOWN],
            "keepers_more": len(keepers) - KEEPERS_SHOWN,
            "coming": inbound,
            "promise": promise,
            "steps": zip(promise.days, promise.quantities, strict=True),
            "chart": mark_safe(draw_promise(promise, inbound)),  # noqa: S308  # its text is escaped in strokes
            "acts": Movement.Act.choices,
            "features": part.features.select_related("kind"),
            "offers": part.offers.select_related("supplier"),
            "numbers": part.alternate_numbers.all(),
            **(self.extra or self.history(Sieve(), None)),
        }


class PartHistoryFile(PartSheet):
    """The history as CSV, by the same filter; where that cannot be read, the page says why."""

    acts = ()

    def get(self, request: HttpRequest, **_: Any) -> HttpResponseBase:  # type: ignore[override]  # it streams
        try:
            sieve = sieve_from(request.GET)
        except ActError:
            return super().get(request)
        return history_csv(self.part, sieve, with_costs=self.user.has_perm("inventory.buy"))
