"""How an order ends other than on its way: cancelled before it leaves, or taken back after."""

from __future__ import annotations

from typing import Any

from django.contrib.auth.models import User
from django.http import QueryDict

from shop.cancelling import cancel
from shop.desks.floor.saying import carry_back
from shop.desks.typed import maybe_whole, text
from shop.models import Order, ReturnLine
from shop.returning import Back, take_back, what_can_come_back

ACTS = ("cancel", "take_back")


def ending(order: Order, user: User, typed: QueryDict) -> dict[str, Any]:
    """What the order's page needs for it; `sold` rows carry the names of their fields and what was typed."""
    shipped = order.state == Order.State.SHIPPED
    may = user.has_perm("shop.sell")
    returns = order.returns.select_related("by").prefetch_related("lines__part__maker", "lines__lot")
    rows = what_can_come_back(order) if shipped and may else []
    return {
        "may_cancel": may and not shipped and order.state != Order.State.CANCELLED,
        "sold": [
            {
                "of": row,
                "fields": [
                    {"name": name, "label": label, "typed": typed.get(name, "")}
                    for name, label in (
                        (_field("good", row.part.pk, row.lot), "good"),
                        (_field("spoilt", row.part.pk, row.lot), "spoilt"),
                    )
                ],
            }
            for row in rows
        ],
        "can_come_back": any(row.left for row in rows),
        "returns": returns,
    }


def cancelled(user: User, order: Order, typed: QueryDict) -> str:
    """Cancel it; returns what to say."""
    not_in_time = bool(text(typed, "not_in_time"))
    done = cancel(user, order, text(typed, "reason"), not_in_time=not_in_time)
    return f"Order {order} is cancelled. {carry_back(done.back)}".strip()


def taken_back(user: User, order: Order, typed: QueryDict) -> str:
    """Book what was typed as come back; returns what to say."""
    lines: list[Back] = []
    for row in what_can_come_back(order):
        for condition in ReturnLine.Condition.values:
            what = f"How many {row.part.number} are back {condition}"
            if (found := text(typed, _field(condition, row.part.pk, row.lot))) and found != "0":
                count = maybe_whole(typed, _field(condition, row.part.pk, row.lot), what)
                lines.append((row.part, count or 0, row.lot, condition))
    made = take_back(user, order, lines, text(typed, "reason"))
    pieces = sum(quantity for _, quantity, *_ in lines)
    return f"Return {made} is booked: {pieces} piece{'' if pieces == 1 else 's'}."


def _field(condition: str, part: int, lot: Any) -> str:
    return f"{condition}-{part}-{lot.pk if lot else 0}"
