"""What comes of an order that was sent: deliveries in parts, other days, and bills that come after."""

from __future__ import annotations

from collections.abc import Iterable

from django.conf import settings
from django.contrib import messages
from django.http import QueryDict
from django.shortcuts import get_object_or_404

from inventory.differences import report
from inventory.late_charges import charge_late
from inventory.models import PurchaseLine, Receipt
from shop.desks.buying.deliveries import Bill
from shop.desks.buying.following import SENTENCE
from shop.desks.buying.of_order import OfOrder
from shop.desks.typed import day, label, listed, maybe_money, money, text, whole
from shop.receiving import close_short, receive
from shop.slipping import slip
from shop.templatetags.figures import money as written


class Docks(OfOrder):
    docking = ("receive", "slip", "charge_late", "close_short", "report")

    def do_slip(self, typed: QueryDict) -> str:
        """The supplier names another day for a line."""
        line = self.line(typed, "line")
        due = day(typed, "due", "The day that the supplier names")
        slip(self.user, line, due, text(typed, "reason"))
        messages.success(self.request, f"{line.order} is due {due:%-d %b %Y}. Who waits for it is looked at.")
        return self.address

    def do_receive(self, typed: QueryDict) -> str:
        lines = list(self.order.lines.select_related("part"))
        quantities = _pieces(typed, lines, "quantity", "The quantity")
        spoilt = _pieces(typed, lines, "spoilt", "The spoilt pieces")
        lots = {pk: listed(typed, f"lots-{pk}") for pk in quantities}
        receipt = receive(
            self.user,
            self.order,
            delivery_note=label(typed, "delivery_note", "The number of the delivery note", most=60),
            quantities=quantities,
            lots={pk: codes for pk, codes in lots.items() if codes},
            charges=maybe_money(typed, "charges", "Freight, duty and the like"),
            keep_over=bool(text(typed, "keep_over")),
            spoilt=spoilt,
            not_owed=[pk for pk in spoilt if text(typed, f"not-owed-{pk}")],
            remark=label(typed, "remark", "The remark", most=SENTENCE),
        )
        messages.success(self.request, self._booked(receipt))
        return self.address

    def do_report(self, typed: QueryDict) -> str:
        """Something else than ordered came, and was not taken in."""
        line = self.line(typed, "other_line")
        pieces = whole(typed, "other_pieces", "How many came")
        what = label(typed, "other_what", "What came instead", most=SENTENCE)
        messages.success(self.request, f"Written down: {report(self.user, line, pieces, what)}.")
        return self.at("differences")

    def do_close_short(self, typed: QueryDict) -> str:
        line = self.line(typed, "short_line")
        reason = label(typed, "short_reason", "Why the rest does not come", most=SENTENCE)
        difference = close_short(self.user, line, reason)
        messages.success(
            self.request,
            f"{difference.quantity} × {line.part.number} are not waited for any more. It stays a difference "
            "until it is settled.",
        )
        return self.at("differences")

    @staticmethod
    def _booked(receipt: Receipt) -> str:
        noted = receipt.differences.count()
        said = f"Delivery note {receipt.delivery_note} is booked and put away."
        if not noted:
            return said
        return f"{said} {noted} difference{'' if noted == 1 else 's'} to settle with the supplier."

    def do_charge_late(self, typed: QueryDict) -> str:
        """A bill for a delivery that was booked before, such as its freight."""
        receipt = get_object_or_404(self.order.receipts, pk=whole(typed, "receipt", "The delivery"))
        charges = charge_late(
            self.user,
            receipt,
            money(typed, "late_amount", "The amount of the bill"),
            label(typed, "late_reason", "What the bill is for", most=200),
        )
        bill = Bill(charges)
        messages.success(
            self.request,
            f"Booked for delivery note {receipt.delivery_note}, in {settings.SHOP_CURRENCY}: "
            f"{written(bill.here)} onto the pieces that are still here, {written(bill.gone)} spent on those "
            "that have left.",
        )
        return self.address


def _pieces(typed: QueryDict, lines: Iterable[PurchaseLine], field: str, what: str) -> dict[int, int]:
    """How many of each line, by its id; a field that is empty or 0 says nothing."""
    found = {}
    for line in lines:
        if text(typed, f"{field}-{line.pk}") not in ("", "0"):
            found[line.pk] = whole(typed, f"{field}-{line.pk}", f"{what} of {line.part.number}")
    return found
