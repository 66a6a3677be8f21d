"""An order that has not gone: its lines are changed, it is approved, discarded or sent."""

from __future__ import annotations

from django.contrib import messages
from django.db import transaction
from django.http import QueryDict
from django.urls import reverse

from inventory.buying import add_line, approve, change_line, discard, take_back
from inventory.models import Part
from shop.desks.buying.of_order import OfOrder
from shop.desks.named import part_numbered
from shop.desks.typed import text, whole
from shop.sending import send


class Writes(OfOrder):
    """Approving and sending first keep what was changed in the fields beside the button: all, or nothing."""

    writing = ("save", "discard", "approve", "take_back", "send")

    @transaction.atomic
    def do_save(self, typed: QueryDict) -> str:
        self._keep(typed)
        messages.success(self.request, f"Kept: {self.order.number} as it stands here.")
        return self.address

    @transaction.atomic
    def do_approve(self, typed: QueryDict) -> str:
        self._keep(typed)
        approve(self.user, [self.order])
        messages.success(self.request, f"{self.order.number} is approved; it is to be sent.")
        return self.address

    def do_take_back(self, _typed: QueryDict) -> str:
        take_back(self.user, self.order)
        messages.success(self.request, f"{self.order.number} is a draft again.")
        return self.address

    @transaction.atomic
    def do_send(self, typed: QueryDict) -> str:
        self._keep(typed)
        sent = send(self.user, self.order, although_small=bool(text(typed, "although_small")))
        goes = "a letter goes to them" if sent.mails.exists() else "give it to them yourself"
        messages.success(self.request, f"{sent.number} counts as sent to {sent.supplier}; {goes}.")
        return self.address

    def do_discard(self, _typed: QueryDict) -> str:
        number, supplier = self.order.number, self.order.supplier
        discard(self.user, self.order)
        messages.success(self.request, f"Discarded: {number} to {supplier}.")
        return reverse("buying")

    def _keep(self, typed: QueryDict) -> None:
        """Change what was changed, leave out what is ticked to be, add the part that is named."""
        for line in self.order.lines.select_related("part", "order__supplier"):
            field = f"quantity-{line.pk}"
            if text(typed, f"drop-{line.pk}"):
                change_line(self.user, line, 0)
            elif field in typed:
                quantity = whole(typed, field, f"The quantity of {line.part.number}", least=0)
                if quantity != line.quantity:
                    change_line(self.user, line, quantity)
        if text(typed, "add_part"):
            part: Part = part_numbered(typed, "add_part", "The part")
            quantity = whole(typed, "add_quantity", f"How many {part.number}")
            add_line(self.user, self.order, part, quantity)
