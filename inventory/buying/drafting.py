"""Acts that draft orders to suppliers: from alerts, from suggestions, or by hand."""

from collections import defaultdict
from collections.abc import Mapping, Sequence

from django.contrib.auth.models import User
from django.db.models import Sum
from django.utils import timezone

from inventory.acting import ActError, Conflict, act
from inventory.ledger import lock_stock
from inventory.models import Alert, Offer, PurchaseLine, PurchaseOrder, Supplier

from .terms import OPEN, asked_for, check_packs, due_on, offers_of, price_at, whole_packs
from .timing import set_send_by


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
    asking = [alert for alert in opened if alert.quantity]
    if not asking:
        raise ActError("These alerts ask for nothing to be ordered.", code="nothing-wanted")
    if unsold := [str(alert.part) for alert in asking if alert.supplier is None]:
        raise ActError(f"Nobody offers {'; '.join(unsold)}: add an offer first.", code="no-offer")
    needs: dict[Supplier, dict[int, list[Alert]]] = defaultdict(lambda: defaultdict(list))
    for alert in asking:
        assert alert.supplier is not None  # Checked above.
        needs[alert.supplier][alert.part_id].append(alert)
    return [
        _draft(user, supplier, {part: asked_for(some) for part, some in needs[supplier].items()})
        for supplier in sorted(needs, key=lambda one: one.pk)
    ]


@act("inventory.buy")
def draft_suggested(user: User, supplier: Supplier, quantities: Mapping[int, int]) -> PurchaseOrder:
    """A draft to the supplier with at least these quantities by part id: the one there is, or a new one.

    What is in a draft already is not doubled, so two buyers who take up one suggestion order once. Raises
    ActError "not-offered" or "not-whole-packs", and "nothing-wanted" without a part.
    """
    wanted = {part: quantity for part, quantity in quantities.items() if quantity}
    if not wanted or min(wanted.values()) < 1:
        raise ActError("Name at least one part, and at least one piece of each.", code="nothing-wanted")
    lock_stock(wanted)
    check_packs(wanted, offers_of(supplier, wanted))
    return _draft(user, supplier, wanted)


def _draft(user: User, supplier: Supplier, needs: Mapping[int, int]) -> PurchaseOrder:
    """The supplier's draft with what is needed; an order that has all of it already, if there is no draft."""
    offers = offers_of(supplier, needs)
    drafts = PurchaseOrder.objects.filter(supplier=supplier, state=PurchaseOrder.State.DRAFT)
    order = drafts.select_for_update().order_by("pk").first()
    others = PurchaseLine.objects.filter(
        order__supplier=supplier, order__state__in=OPEN, part_id__in=list(needs)
    ).exclude(order=order)
    elsewhere = dict(others.order_by().values_list("part_id").annotate(Sum("quantity")))
    quantities = {
        part: whole_packs(needed - elsewhere.get(part, 0), offers[part]) for part, needed in needs.items()
    }
    if order is None and not any(quantities.values()):
        return others.select_related("order").order_by("pk")[0].order
    order = order or PurchaseOrder.objects.create(supplier=supplier, made_by=user)
    for part, quantity in sorted(quantities.items()):
        line = order.lines.filter(part_id=part).first()
        if line is None and quantity:
            new_line(order, offers[part], quantity)
        elif line is not None and line.quantity < quantity:
            line.quantity, line.price = quantity, price_at(offers[part], quantity)
            line.save(update_fields=["quantity", "price"])
    set_send_by(order, timezone.now())
    return order


@act("inventory.buy")
def write_order(user: User, supplier: Supplier, lines: Mapping[int, int]) -> PurchaseOrder:
    """A draft by hand; `lines` are quantities by part id.

    Raises ActError "not-offered" for a part this supplier does not sell, "not-whole-packs" for a quantity
    it does not sell.
    """
    if not lines or min(lines.values()) < 1:
        raise ActError("Name at least one part, and at least one piece of each.", code="nothing-wanted")
    offers = offers_of(supplier, lines)
    check_packs(lines, offers)
    order = PurchaseOrder.objects.create(supplier=supplier, made_by=user)
    for part_id, quantity in sorted(lines.items()):
        new_line(order, offers[part_id], quantity)
    set_send_by(order, timezone.now())
    return order


def new_line(order: PurchaseOrder, offer: Offer, quantity: int) -> PurchaseLine:
    """A line of a draft, at the offer's price for so many."""
    line: PurchaseLine = order.lines.create(
        part=offer.part,
        quantity=quantity,
        price=price_at(offer, quantity),
        due=due_on(offer.days, timezone.localdate()),
    )
    return line
