"""Kits made up on the shelf: what goes into one, how many could be made up now, made up and taken apart."""

from __future__ import annotations

from functools import cached_property
from typing import Any

from django.contrib import messages
from django.http import QueryDict
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils import timezone

from inventory.assembling import make_up, take_apart
from inventory.makeable import makeable
from inventory.models import Movement, Part
from kits.making_up import makeup_from
from shop.desks.named import kit_numbered, maybe_lot, place_in_shop
from shop.desks.page import DeskPage, Sheet
from shop.desks.rights import CATALOGUE, PICK
from shop.desks.typed import label, listed, maybe_money, whole
from shop.stock_figures import lying

REFERENCE = 60


class MakingUp(DeskPage):
    """Every desk may look at it; the floor makes up and takes apart, the catalogue says of what."""

    template_name = "desks/make_up.html"
    acts = ("make_up", "take_apart", "define")

    @cached_property
    def part(self) -> Part:
        parts = Part.objects.select_related("maker", "category", "home")
        return get_object_or_404(parts, pk=self.kwargs["pk"])

    def sheet(self) -> Sheet:
        return Sheet(f"Make up {self.part.number}", f"4-{self.part.pk}-1")

    def context(self) -> dict[str, Any]:
        balances = lying(self.part)
        return {
            "part": self.part,
            "made_of": makeable(self.part, timezone.now()),
            "balances": balances,
            "on_hand": sum(balance.quantity for balance in balances),
            "only_place": balances[0].place if len({one.place_id for one in balances}) == 1 else "",
            "may_make": any(self.user.has_perm(right) for right in PICK),
            "may_define": any(self.user.has_perm(right) for right in CATALOGUE),
        }

    def do_make_up(self, typed: QueryDict) -> str:
        made = make_up(
            self.user,
            self.part,
            whole(typed, "pieces", "How many to make up"),
            place_in_shop(typed, "place", "The place that they go into"),
            label(typed, "reference", "The reference", most=REFERENCE),
            lots=listed(typed, "lots"),
            work_cost=maybe_money(typed, "work_cost", "What the work cost"),
        )
        pieces, place = _pieces(made), made[0].destination
        messages.success(self.request, f"Made up: {pieces} × {self.part.number}, now in {place}.")
        return self._here

    def do_take_apart(self, typed: QueryDict) -> str:
        pieces = whole(typed, "apart_pieces", "How many to take apart")
        components = self.part.makeup.values_list("component_id", flat=True)
        codes = {pk: listed(typed, f"lots-{pk}") for pk in components}
        came = take_apart(
            self.user,
            self.part,
            pieces,
            place_in_shop(typed, "apart_place", "The place where they lie"),
            place_in_shop(typed, "apart_to", "The place that the components go to"),
            label(typed, "apart_reference", "The reference", most=REFERENCE),
            lot=maybe_lot(self.part, typed, "apart_lot"),
            lots={pk: given for pk, given in codes.items() if given},
        )
        messages.success(
            self.request,
            f"Taken apart: {pieces} × {self.part.number}; {_pieces(came)} components are in "
            f"{came[0].destination} now.",
        )
        return self._here

    def do_define(self, typed: QueryDict) -> str:
        kit = kit_numbered(typed, "kit", "The number of the kit")
        lines = makeup_from(self.user, self.part, kit)
        said = "1 part goes" if len(lines) == 1 else f"{len(lines)} parts go"
        messages.success(self.request, f"As in {kit}: {said} into one {self.part.number} from now on.")
        return self._here

    @property
    def _here(self) -> str:
        return reverse("make-up", args=[self.part.pk])


def _pieces(moved: list[Movement]) -> int:
    return sum(one.quantity for one in moved)
