"""What a supplier sells, in which quantities and at which price, and what an order to them comes to."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from django.db.models import QuerySet

from inventory.acting import ActError, Conflict
from inventory.models import Alert, Offer, Part, PurchaseLine, PurchaseOrder, Supplier
from inventory.planning import order_quantity

NOTHING = Decimal(0)
# What has not gone to the supplier can still be changed.
OPEN = (PurchaseOrder.State.DRAFT, PurchaseOrder.State.APPROVED)


@dataclass(frozen=True)
class Sum:
    """What an order comes to: the goods, and what the supplier charges to bring them."""

    goods: Decimal
    carriage: Decimal

    @property
    def total(self) -> Decimal:
        return self.goods + self.carriage


def asked_for(alerts: Iterable[Alert]) -> int:
    """How many pieces these alerts of one part ask for together.

    What orders wait for comes on top; the other causes are about one and the same lack.
    """
    found = list(alerts)
    waiting = [alert.quantity for alert in found if alert.cause == Alert.Cause.ORDER_WAITS]
    others = [alert.quantity for alert in found if alert.cause != Alert.Cause.ORDER_WAITS]
    return sum(waiting) + max(others, default=0)


def offers_of(supplier: Supplier, wanted: Iterable[int]) -> dict[int, Offer]:
    """By part what this supplier offers of `wanted`; an ActError "not-offered" names what it does not."""
    ids = set(wanted)
    offers = supplier.offers.filter(part_id__in=ids).select_related("part__maker", "supplier")
    found = {offer.part_id: offer for offer in offers.prefetch_related("breaks")}
    if missing := sorted(ids - set(found)):
        parts = Part.objects.filter(pk__in=missing).select_related("maker")
        named = "; ".join(map(str, parts)) or f"part {missing}"
        raise ActError(f"{supplier} does not offer {named}.", code="not-offered", parts=missing)
    return found


def whole_packs(needed: int, offer: Offer) -> int:
    """So many as the supplier sells, to have at least `needed`; none for none."""
    return order_quantity(0, max(needed, 0), offer.pack, offer.least)


def check_packs(quantities: Mapping[int, int], offers: Mapping[int, Offer]) -> None:
    """Refuse quantities by part that the supplier does not sell, and say which it does."""
    odd = {part: wanted for part, wanted in quantities.items() if whole_packs(wanted, offers[part]) != wanted}
    if odd:
        supplier = next(iter(offers.values())).supplier
        said = "; ".join(
            f"{offers[part].part} in packs of {offers[part].pack}, at least {offers[part].least}: "
            f"order {whole_packs(wanted, offers[part])} instead of {wanted}"
            for part, wanted in odd.items()
        )
        raise ActError(f"{supplier} sells {said}.", code="not-whole-packs", parts=sorted(odd))


def price_at(offer: Offer, quantity: int) -> Decimal:
    """What one piece costs of so many: by the highest break that they reach, else the offer's price."""
    reached = [one for one in offer.breaks.all() if one.at_least <= quantity]
    return max(reached, key=lambda one: one.at_least).price if reached else offer.price


def due_on(lead_days: int, sent_on: date) -> date:
    return sent_on + timedelta(days=lead_days)


def carriage_of(supplier: Supplier, goods: Decimal) -> Decimal:
    """What the supplier charges to bring goods of that value."""
    free = supplier.free_carriage_from is not None and goods >= supplier.free_carriage_from
    return NOTHING if free else supplier.carriage


def sum_of(order: PurchaseOrder, lines: Iterable[PurchaseLine] | None = None) -> Sum:
    """What an order comes to. Once it is sent, with the quantities and the carriage that it was sent with."""
    found = list(order.lines.all() if lines is None else lines)
    goods = sum(
        ((line.quantity if line.ordered is None else line.ordered) * line.price for line in found), NOTHING
    )
    if order.carriage is not None:
        return Sum(goods, order.carriage)
    return Sum(goods, carriage_of(order.supplier, goods) if found and order.state in OPEN else NOTHING)


def locked(order: PurchaseOrder) -> PurchaseOrder:
    """The order, read anew and locked. Conflict where it is gone."""
    return next(iter(all_locked([order])))


def all_locked(orders: Iterable[PurchaseOrder]) -> list[PurchaseOrder]:
    """These orders, locked by id. Conflict names what is gone."""
    wanted = {order.pk: order for order in orders}
    rows: QuerySet[PurchaseOrder] = PurchaseOrder.objects.select_for_update(of=("self",))
    found = list(rows.select_related("supplier").filter(pk__in=list(wanted)).order_by("pk"))
    if gone := sorted(set(wanted) - {order.pk for order in found}):
        raise Conflict(f"{', '.join(f'B{pk:05d}' for pk in gone)} was discarded meanwhile: look again.")
    return found


def still_open(order: PurchaseOrder) -> PurchaseOrder:
    """The order, locked, if it can still be changed; else a Conflict."""
    fresh = locked(order)
    if fresh.state not in OPEN:
        raise Conflict(
            f"{fresh} was sent already: write another order, or ask {fresh.supplier} to change it."
        )
    return fresh
