"""What both the desk and the sheet of one order follow up: late lines, differences, and letters that hang."""

from __future__ import annotations

from abc import abstractmethod

from django.contrib import messages
from django.db.models import Q
from django.http import QueryDict
from django.shortcuts import get_object_or_404

from inventory.acting import ActError
from inventory.buying import remind, settle
from inventory.models import Difference, PurchaseLine, SupplierMail
from inventory.post import count_as_sent, send_again
from shop.desks.page import DeskPage
from shop.desks.typed import label, whole

SENTENCE = 200


class FollowsUp(DeskPage):
    """A page of which `order_named` says whose orders it follows up, and `at` where to go on it."""

    follow_up = ("remind", "settle", "send_again", "count_as_sent")

    @abstractmethod
    def at(self, section: str) -> str:
        """The address of a section of this page."""

    def only(self, order: str) -> Q:
        """Which rows are of this page: all, unless it narrows them. `order` is how they come to it."""
        return Q(**{f"{order}__isnull": False})

    def do_remind(self, typed: QueryDict) -> str:
        ticked = PurchaseLine.objects.filter(self.only("order"), pk__in=ticked_in(typed, "late"))
        if not ticked:
            raise ActError("No line is ticked: tick what you ask for.", code="nothing-ticked")
        note = label(typed, "note", "What you ask", most=SENTENCE)
        asked = len(remind(self.user, list(ticked.order_by("pk")), note))
        messages.success(self.request, f"Asked for {asked} line{'' if asked == 1 else 's'}.")
        return self.at("sent")

    def do_settle(self, typed: QueryDict) -> str:
        chosen = Difference.objects.filter(self.only("line__order"))
        difference = get_object_or_404(chosen, pk=whole(typed, "difference", "The difference"))
        settled = settle(self.user, difference, label(typed, "how", "How it is settled", most=SENTENCE))
        messages.success(self.request, f"Settled: {settled}.")
        return self.at("differences")

    def do_send_again(self, typed: QueryDict) -> str:
        letter = send_again(self.user, self._letter(typed))
        messages.success(self.request, f"The letter about {letter.order} leaves once more, to {letter.to}.")
        return self.at("letters")

    def do_count_as_sent(self, typed: QueryDict) -> str:
        how = label(typed, "how_known", "How you know", most=100)
        letter = count_as_sent(self.user, self._letter(typed), how)
        messages.success(self.request, f"The letter about {letter.order} counts as sent.")
        return self.at("letters")

    def _letter(self, typed: QueryDict) -> SupplierMail:
        letters = SupplierMail.objects.filter(self.only("order")).select_related("order__supplier")
        return get_object_or_404(letters, pk=whole(typed, "letter", "The letter"))


def ticked_in(typed: QueryDict, field: str) -> list[int]:
    """The ids that were ticked; what is no id was ticked by nobody."""
    return [int(pk) for pk in typed.getlist(field) if pk.isascii() and pk.isdigit() and len(pk) < 19]
