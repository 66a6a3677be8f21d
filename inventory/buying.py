"""The buying desk's acts: orders from alerts or by hand, sending them, and what comes of them."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from datetime import date, timedelta

from django.contrib.auth.models import User
from django.db.models import Sum
from django.utils import timezone

from .acting import ActError, Conflict, act
from .alerting import alert_waiting, clear_waiting, look_again
from .deliveries import put_away, receive
from .ledger import lock_stock
from .models import Alert, Offer, Part, PurchaseLine, PurchaseOrder, Supplier
from .planning import order_quantity
from .tying import retie

__all__ = [
    "alert_waiting",
    "clear_waiting",
    "look_again",
    "order_from_alerts",
    "put_away",
    "receive",
    "send",
    "write_order",
]


@act("inventory.buy")
def order_from_alerts(user: User, alerts: Sequence[Alert]) -> list[PurchaseOrder]:
    """One draft per supplier for what these alerts ask for, in whole packs and not below the least.

    A part that is in a draft to that supplier already is not doubled: its line is raised if it is too
    low. Raises Conflict when an alert is cleared meanwhile, ActError "no-offer" when nobody sells a part.
    """
    opened = list(
        Alert.objects.filter(pk__in=[alert.pk for alert in alerts])
        .select_related("part__maker", "supplier")
        .order_by("part_id", "pk")
    )
    if not opened:
        raise ActError("Name at least one alert.", code="nothing-wanted")
    lock_stock(alert.part_id for alert in opened)  # Two buyers at once: the second finds the first's draft.
    gone = Alert.objects.filter(pk__in=[alert.pk for alert in opened]).exclude(cleared_at=None)
    if cleared := list(gone.select_related("part__maker")):
        raise Conflict(f"No longer needed: {'; '.join(map(str, cleared))}. Leave it out.")
    if unsold := [str(alert.part) for alert in opened if alert.supplier is None]:
        raise ActError(f"Nobody offers {'; '.join(unsold)}: add an offer first.", code="no-offer")
    needs: dict[Supplier, dict[int, int]] = defaultdict(lambda: defaultdict(int))
    for alert in opened:
        assert alert.supplier is not None  # Checked above.
        needs[alert.supplier][alert.part_id] += alert.quantity
    return [_draft(user, supplier, needs[supplier]) for supplier in sorted(needs, key=lambda one: one.pk)]


def _draft(user: User, supplier: Supplier, needs: Mapping[int, int]) -> PurchaseOrder:
    offers = _offers(supplier, needs)
    drafts = PurchaseOrder.objects.filter(supplier=supplier, state=PurchaseOrder.State.DRAFT)
    order = drafts.select_for_update().order_by("pk").first() or PurchaseOrder.objects.create(
        supplier=supplier, made_by=user
    )
    others = PurchaseLine.objects.filter(order__in=drafts, part_id__in=list(needs)).exclude(order=order)
    elsewhere = dict(others.order_by().values_list("part_id").annotate(Sum("quantity")))
    for part_id, needed in sorted(needs.items()):
        quantity = _whole(needed - elsewhere.get(part_id, 0), offers[part_id])
        line = order.lines.filter(part_id=part_id).first()
        if line is None and quantity:
            _add_line(order, offers[part_id], quantity)
        elif line is not None and line.quantity < quantity:
            line.quantity = quantity
            line.save(update_fields=["quantity"])
    return order


def _whole(needed: int, offer: Offer) -> int:
    return order_quantity(0, max(needed, 0), offer.pack, offer.least)


@act("inventory.buy")
def write_order(user: User, supplier: Supplier, lines: Mapping[int, int]) -> PurchaseOrder:
    """A draft by hand; `lines` are quantities by part id.

    Raises ActError "not-offered" for a part this supplier does not sell, "not-whole-packs" for a quantity
    it does not sell.
    """
    if not lines or min(lines.values()) < 1:
        raise ActError("Name at least one part, and at least one piece of each.", code="nothing-wanted")
    offers = _offers(supplier, lines)
    odd = {part_id: wanted for part_id, wanted in lines.items() if _whole(wanted, offers[part_id]) != wanted}
    if odd:
        said = "; ".join(
            f"{offers[part_id].part} in packs of {offers[part_id].pack}, at least {offers[part_id].least}: "
            f"order {_whole(wanted, offers[part_id])} instead of {wanted}"
            for part_id, wanted in odd.items()
        )
        raise ActError(f"{supplier} sells {said}.", code="not-whole-packs", parts=sorted(odd))
    order = PurchaseOrder.objects.create(supplier=supplier, made_by=user)
    for part_id, quantity in sorted(lines.items()):
        _add_line(order, offers[part_id], quantity)
    return order


def _offers(supplier: Supplier, wanted: Mapping[int, int]) -> dict[int, Offer]:
    offers = supplier.offers.filter(part_id__in=list(wanted)).select_related("part__maker", "supplier")
    found = {offer.part_id: offer for offer in offers}
    if missing := sorted(set(wanted) - set(found)):
        parts = Part.objects.filter(pk__in=missing).select_related("maker")
        named = "; ".join(map(str, parts)) or f"part {missing}"
        raise ActError(f"{supplier} does not offer {named}.", code="not-offered", parts=missing)
    return found


def _add_line(order: PurchaseOrder, offer: Offer, quantity: int) -> None:
    order.lines.create(
        part=offer.part,
        quantity=quantity,
        price=offer.price,
        due=_due(offer.days, timezone.localdate()),
    )


def _due(lead_days: int, sent_on: date) -> date:
    return sent_on + timedelta(days=lead_days)


@act("inventory.buy")
def send(user: User, order: PurchaseOrder) -> PurchaseOrder:
    """The draft goes out: from now on what it brings can be promised. Due dates count from today.

    What waits for a later delivery of the same part is tied to this one.
    """
    now = timezone.now()
    part_ids = list(order.lines.values_list("part_id", flat=True))
    lock_stock(part_ids)
    order = PurchaseOrder.objects.select_for_update(of=("self",)).select_related("supplier").get(pk=order.pk)
    if order.state != PurchaseOrder.State.DRAFT:
        raise Conflict(f"{order} was sent already.")
    lines = list(order.lines.all())
    if not lines:
        raise ActError(f"{order} has no lines: there is nothing to send.", code="nothing-wanted")
    offers = {offer.part_id: offer for offer in order.supplier.offers.filter(part_id__in=part_ids)}
    for line in lines:
        days = offers[line.part_id].days if line.part_id in offers else order.supplier.lead_days
        line.due = line.first_due = _due(days, timezone.localdate(now))
        line.ordered = line.quantity
    PurchaseLine.objects.bulk_update(lines, ["due", "first_due", "ordered"])
    order.state, order.sent_at = PurchaseOrder.State.SENT, now
    order.approved_at, order.approved_by = now, user
    order.save(update_fields=["state", "sent_at", "approved_at", "approved_by"])
    retie(part_ids, now)
    look_again(part_ids, now)
    return order
