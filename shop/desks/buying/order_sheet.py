"""The sheet of one order to a supplier, from the draft to the last piece and the last difference."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.db.models import Prefetch, Q
from django.utils import timezone

from inventory.alerting import positions_of
from inventory.buying import sum_of
from inventory.models import Part, PurchaseLine, PurchaseOrder, Reminder, Target
from inventory.post import PATIENCE
from shop.desks.buying.deliveries import deliveries_of
from shop.desks.buying.docking import Docks
from shop.desks.buying.following import FollowsUp
from shop.desks.buying.paperwork import differences, unsent
from shop.desks.buying.writing import Writes
from shop.desks.page import Sheet
from shop.desks.rights import APPROVE_ORDERS, BUY, GOODS_IN


class PurchaseSheet(Writes, Docks, FollowsUp):
    """Change it, approve it, send it; then book what comes, and see after what does not."""

    template_name = "desks/buying/purchase.html"
    rights = (*BUY, *APPROVE_ORDERS, *GOODS_IN)
    acts = (*Writes.writing, *Docks.docking, *FollowsUp.follow_up)

    def sheet(self) -> Sheet:
        return Sheet(f"Order to {self.order.supplier}", self.order.number)

    def only(self, order: str) -> Q:
        return Q(**{order: self.order})

    def context(self) -> dict[str, Any]:
        order, now = self.order, timezone.now()
        is_open = order.state in (PurchaseOrder.State.DRAFT, PurchaseOrder.State.APPROVED)
        context = {
            "order": order,
            "sum": sum_of(order),
            "tracked": Part.Tracking.NONE,
            "mails_go": settings.SHOP_MAILS,
        }
        if is_open:
            return {**context, **self._written()}
        lines = [self._followed(line) for line in self._lines()]
        return {
            **context,
            "lines": lines,
            "awaited": [row for row in lines if row["open"]],
            "differences": differences().filter(line__order=order),
            "came": deliveries_of(order),
            "letters": order.mails.select_related("order__supplier"),
            "spoilt_typed": any(row["spoilt"] for row in lines),
            "lost_before": now - PATIENCE,
            "ticked_lines": self.request.POST.getlist("late"),
        }

    def _lines(self) -> list[PurchaseLine]:
        reminders = Prefetch("reminders", Reminder.objects.select_related("by"))
        lines = self.order.lines.select_related("part__maker", "part__home")
        return list(lines.prefetch_related(reminders))

    def _written(self) -> dict[str, Any]:
        """What is ordered, beside what there is of it and what there should be."""
        lines, supplier = self._lines(), self.order.supplier
        parts = [line.part_id for line in lines]
        offers = {offer.part_id: offer for offer in supplier.offers.filter(part__in=parts)}
        targets = {target.part_id: target for target in Target.objects.filter(part__in=parts)}
        positions = positions_of(parts, timezone.now())
        others = supplier.offers.exclude(part__in=parts).select_related("part__maker")
        return {
            "lines": [
                {
                    "line": line,
                    "value": line.quantity * line.price,
                    "offer": offers.get(line.part_id),
                    "target": targets.get(line.part_id),
                    "position": positions.get(line.part_id),
                    "typed": self.request.POST.get(f"quantity-{line.pk}", str(line.quantity)),
                    "dropped": f"drop-{line.pk}" in self.request.POST,
                }
                for line in lines
            ],
            "others": others.order_by("part__number"),
            "one": unsent([self.order], self.user)[0],
        }

    def _followed(self, line: PurchaseLine) -> dict[str, Any]:
        """What has come of the line, and what was typed for it."""
        left, typed = line.quantity - line.received, self.request.POST
        return {
            "line": line,
            "open": left,
            "days": (timezone.localdate() - line.due).days if left else 0,
            "spoilt": typed.get(f"spoilt-{line.pk}", ""),
            "not_owed": f"not-owed-{line.pk}" in typed,
        }
