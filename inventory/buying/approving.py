"""Acts by which somebody stands for an order to a supplier: approving, up to a limit, and taking it back."""

from collections.abc import Sequence
from datetime import datetime
from decimal import Decimal

from django.contrib.auth.models import User
from django.db.models import Max
from django.utils import timezone

from inventory.acting import ActError, Conflict, NotAllowed, act
from inventory.models import BuyingLimit, PurchaseOrder

from .terms import NOTHING, all_locked, locked, sum_of

RIGHT = "inventory.approve_orders"


def limit_of(user: User) -> Decimal | None:
    """Up to which total the user may approve an order: the highest limit of their roles, None without end."""
    if user.is_superuser:
        return None
    limits = BuyingLimit.objects.filter(group__user=user)
    most: Decimal | None = limits.aggregate(most=Max("most"))["most"]
    return NOTHING if most is None else most


@act(RIGHT)
def approve(user: User, orders: Sequence[PurchaseOrder]) -> list[PurchaseOrder]:
    """All of these drafts may go out, or none: each within the limit of who approves, carriage included.

    Raises NotAllowed "above-limit" naming what is above it and who can, ActError "nothing-wanted" for an
    order without lines, and Conflict for one that is no draft any more.
    """
    if not orders:
        raise ActError("Name at least one order.", code="nothing-wanted")
    now = timezone.now()
    drafts = all_locked(orders)
    if others := [f"{one} is {one.get_state_display()}" for one in drafts if not _is_draft(one)]:
        raise Conflict(f"Not to be approved any more: {', '.join(others)}. Leave it out.")
    check_limit(user, drafts)
    for order in drafts:
        stand_for(user, order, now)
    return drafts


@act(RIGHT)
def take_back(_user: User, order: PurchaseOrder) -> PurchaseOrder:
    """The order is not approved any more. Conflict unless it is, and for one that has gone."""
    order = locked(order)
    if order.state != PurchaseOrder.State.APPROVED:
        raise Conflict(f"{order} is {order.get_state_display()}: there is no approval to take back.")
    return unapprove(order)


def check_limit(user: User, orders: Sequence[PurchaseOrder]) -> None:
    """Refuse what is above the user's limit, and what orders nothing."""
    if empty := [str(order) for order in orders if not order.lines.exists()]:
        raise ActError(f"{', '.join(empty)} has no lines: there is nothing to send.", code="nothing-wanted")
    limit = limit_of(user)
    totals = {order: sum_of(order).total for order in orders}
    above = {order: total for order, total in totals.items() if limit is not None and total > limit}
    if above:
        said = ", ".join(f"{order} comes to {total:,.2f}" for order, total in above.items())
        raise NotAllowed(
            f"{said} with carriage, and you may approve up to {limit:,.2f}. {who_can(max(above.values()))}",
            code="above-limit",
            orders=[order.pk for order in above],
            limit=f"{limit:.2f}",
        )


def who_can(total: Decimal) -> str:
    """A sentence that names who may approve so much."""
    everybody = User.objects.filter(is_active=True).order_by("username")
    could = everybody.filter(groups__buying_limit__most__gte=total) | everybody.filter(is_superuser=True)
    names = [user.get_username() for user in could.distinct() if user.has_perm(RIGHT)][:5]
    if not names:
        return "Nobody may approve so much: have the limit of a role raised, or order less at once."
    return f"Ask {' or '.join(names)} to approve it."


def stand_for(user: User, order: PurchaseOrder, now: datetime) -> None:
    """Write that the user approves the locked order; it is not saved if it goes out at once."""
    order.state = PurchaseOrder.State.APPROVED
    order.approved_at, order.approved_by = now, user
    order.save(update_fields=["state", "approved_at", "approved_by"])


def unapprove(order: PurchaseOrder) -> PurchaseOrder:
    """Make the locked order a draft, if it is approved."""
    if order.state == PurchaseOrder.State.APPROVED:
        order.state = PurchaseOrder.State.DRAFT
        order.approved_at = order.approved_by = None
        order.save(update_fields=["state", "approved_at", "approved_by"])
    return order


def _is_draft(order: PurchaseOrder) -> bool:
    return order.state == PurchaseOrder.State.DRAFT
