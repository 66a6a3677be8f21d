"""Corrections of the ledger: what waits for a second person, what was decided, and asking for one."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.db.models import QuerySet
from django.http import QueryDict
from django.shortcuts import get_object_or_404
from django.urls import reverse

from inventory.counting import adjust, approve, refuse, scrap
from inventory.models import Correction, Lot, Part, Place
from shop.desks.named import maybe_lot, part_numbered, place_in_shop
from shop.desks.page import DeskPage, Sheet
from shop.desks.rights import APPROVE, CORRECT
from shop.desks.typed import needed, whole

DECIDED_SHOWN = 12


class Corrections(DeskPage):
    template_name = "desks/buying/corrections.html"
    rights = (*APPROVE, *CORRECT)
    acts = ("approve", "refuse", "more", "fewer", "scrap")

    def sheet(self) -> Sheet:
        return Sheet("Corrections", "3-3")

    def context(self) -> dict[str, Any]:
        found = _corrections()
        return {
            "waiting": found.filter(state=Correction.State.ASKED).order_by("pk"),
            "decided": found.exclude(state=Correction.State.ASKED)[:DECIDED_SHOWN],
            "may_approve": any(self.user.has_perm(right) for right in APPROVE),
            "may_correct": any(self.user.has_perm(right) for right in CORRECT),
        }

    def do_approve(self, typed: QueryDict) -> str:
        posted = approve(self.user, _chosen(typed))
        messages.success(self.request, f"Posted: {posted}.")
        return reverse("corrections")

    def do_refuse(self, typed: QueryDict) -> str:
        left = refuse(self.user, _chosen(typed), needed(typed, "because", "The reason to refuse"))
        messages.success(self.request, f"Refused, and the ledger stands: {left}.")
        return reverse("corrections")

    def do_more(self, typed: QueryDict) -> str:
        return self._adjust(typed, 1)

    def do_fewer(self, typed: QueryDict) -> str:
        return self._adjust(typed, -1)

    def _adjust(self, typed: QueryDict, sign: int) -> str:
        part, place, pieces, reason, lot = _asked(typed)
        made = adjust(self.user, part, place, sign * pieces, reason, lot)
        waits = made.state == Correction.State.ASKED
        said = f"Written down, and waits for approval: {made}." if waits else f"Posted: {made}."
        messages.success(self.request, said)
        return reverse("corrections")

    def do_scrap(self, typed: QueryDict) -> str:
        part, place, pieces, reason, lot = _asked(typed)
        gone = scrap(self.user, part, place, pieces, reason, lot)
        messages.success(self.request, f"Thrown away: {gone.quantity} × {part.number} from {place}.")
        return reverse("corrections")


def _corrections() -> QuerySet[Correction]:
    return Correction.objects.select_related(
        "part__maker", "place", "lot", "asked_by", "decided_by", "count_line__round"
    ).prefetch_related("count_line__entries__by")


def _chosen(typed: QueryDict) -> Correction:
    return get_object_or_404(Correction, pk=whole(typed, "correction", "The correction"))


def _asked(typed: QueryDict) -> tuple[Part, Place, int, str, Lot | None]:
    """What the form says, or an Unreadable that names the field."""
    part = part_numbered(typed, "part", "The part number")
    needed(typed, "place", "The place")
    place, lot = place_in_shop(typed, "place", "The place"), maybe_lot(part, typed, "lot")
    return part, place, whole(typed, "pieces", "How many"), needed(typed, "reason", "The reason"), lot
