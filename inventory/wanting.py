"""What is wanted from suppliers now, and what could fill an order up: as planning takes it. Reads only."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from django.db.models import F, Q

from .alerting import Position, open_alerts, positions_of
from .buying.terms import NOTHING, OPEN, asked_for
from .buying.timing import days_of
from .models import Alert, Offer, Part, PurchaseLine, Supplier, Target
from .planning.order_terms import House, Terms, Wanted

# So many parts are looked at for one that fills an order up: those nearest to where they are ordered again.
MOST_SPARE = 1000
# These ask for nothing by themselves: a break is taken with what is needed, and dead stock is not bought.
_NO_NEED = (Alert.Cause.PRICE_BREAK, Alert.Cause.DEAD_STOCK)


@dataclass(frozen=True)
class Wants:
    """By part id or supplier id; `drafted` by both, in orders that have not gone."""

    wanted: dict[int, Wanted]
    houses: dict[int, House]
    suppliers: dict[int, Supplier]
    parts: dict[int, Part]
    positions: Mapping[int, Position]
    targets: dict[int, Target]
    alerts: dict[int, list[Alert]]
    drafted: Mapping[tuple[int, int], int]

    def terms(self, part: int, supplier: Supplier) -> Terms:
        found = self.wanted[part].from_(supplier.pk)
        assert found is not None  # It was planned by them.
        return found


def wants_now(now: datetime) -> Wants:
    """What open alerts ask for, and what is at its order level though no alert says so yet."""
    alerts: dict[int, list[Alert]] = defaultdict(list)
    for alert in open_alerts(now).filter(quantity__gt=0).exclude(cause__in=_NO_NEED):
        alerts[alert.part_id].append(alert)
    low = _low()
    needed_parts = {*alerts, *low}
    offers = _offers(Q(part__in=needed_parts))
    suppliers = {offer.supplier_id: offer.supplier for offer in offers}
    spare = _spare([one for one in suppliers.values() if _is_filled_up(one)], needed_parts)
    offers += _offers(Q(part__in=spare, supplier__in=list(suppliers)))
    ids = sorted({offer.part_id for offer in offers})
    positions = positions_of(ids, now)
    targets = {target.part_id: target for target in Target.objects.filter(part__in=ids)}
    drafts = _drafts(suppliers)
    drafted = Counter[tuple[int, int]]()
    for line in drafts:
        drafted[line.order.supplier_id, line.part_id] += line.quantity
    needs = {
        part: _needed(alerts.get(part, ()), targets.get(part), positions[part])
        for part in needed_parts.intersection(ids)
    }
    begun = _begun(offers, drafted)
    at = {part: begun.get(part) for part, needed in needs.items() if needed}
    return Wants(
        wanted=_wanted(offers, needs, positions, targets, drafted),
        houses={pk: _house(one, _beside(pk, drafts, at)) for pk, one in suppliers.items()},
        suppliers=suppliers,
        parts={offer.part_id: offer.part for offer in offers},
        positions=positions,
        targets=targets,
        alerts=dict(alerts),
        drafted=drafted,
    )


def _needed(alerts: Iterable[Alert], target: Target | None, position: Position) -> int:
    """What is asked for, reckoned anew where there is a target: what an alert says is in somebody's packs."""
    waiting = [alert for alert in alerts if alert.cause == Alert.Cause.ORDER_WAITS]
    others = [alert for alert in alerts if alert.cause != Alert.Cause.ORDER_WAITS]
    # What is here or comes goes to the orders that wait: of it nothing is left towards the target.
    left = 0 if waiting else position.total
    gap = 0
    if target is not None and (others or left <= target.reorder_at):
        gap = max(0, target.up_to - left)
    return asked_for(waiting) + (gap or asked_for(others))


def _beside(supplier: int, drafts: Iterable[PurchaseLine], at: Mapping[int, int | None]) -> Decimal:
    """The value of what is in drafts to the supplier, but for what is needed and ordered on there."""
    lines = [
        line for line in drafts if line.order.supplier_id == supplier and at.get(line.part_id) != supplier
    ]
    return sum((line.quantity * line.price for line in lines), NOTHING)


def _begun(offers: Iterable[Offer], drafted: Mapping[tuple[int, int], int]) -> dict[int, int]:
    """By part the supplier in whose drafts most of it is: there it is ordered on."""
    found: dict[int, int] = {}
    for offer in offers:
        part, supplier = offer.part_id, offer.supplier_id
        most = drafted.get((found[part], part), 0) if part in found else 0
        if drafted.get((supplier, part), 0) > most:
            found[part] = supplier
    return found


def _low() -> set[int]:
    """Parts of which so little is free that they may be at their order level, while no alert says so."""
    told = Alert.objects.filter(cause=Alert.Cause.BELOW_TARGET, cleared_at=None)
    targets = Target.objects.filter(up_to__gt=0).exclude(part__in=told.values("part"))
    here = F("part__stock__on_hand") - F("part__stock__held") - F("part__stock__committed")
    low = targets.filter(Q(part__stock__isnull=True) | Q(reorder_at__gte=here))
    return set(low.values_list("part_id", flat=True))


def _offers(condition: Q) -> list[Offer]:
    rows = Offer.objects.filter(condition).select_related("supplier", "part__maker")
    return list(rows.prefetch_related("breaks").order_by("part_id", "supplier_id"))


def _is_filled_up(supplier: Supplier) -> bool:
    return bool(supplier.least_value or (supplier.carriage and supplier.free_carriage_from is not None))


def _spare(suppliers: Sequence[Supplier], needed: Iterable[int]) -> list[int]:
    """Parts with a target that these suppliers sell, nearest to their order level; none that is drafted."""
    if not suppliers:
        return []
    here = F("part__stock__on_hand") - F("part__stock__held") - F("part__stock__committed")
    drafts = PurchaseLine.objects.filter(order__state__in=OPEN)
    targets = Target.objects.filter(
        up_to__gt=0, part__standing=Part.Standing.CURRENT, part__offers__supplier__in=suppliers
    ).exclude(part__in=drafts.values("part"))
    near = targets.annotate(above=here - F("reorder_at")).order_by("above", "part_id").distinct()
    ids = near.values_list("part_id", flat=True)[: MOST_SPARE + len(set(needed))]
    return [part for part in ids if part not in needed][:MOST_SPARE]


def _drafts(suppliers: Iterable[int]) -> list[PurchaseLine]:
    rows = PurchaseLine.objects.filter(order__state__in=OPEN, order__supplier__in=list(suppliers))
    return list(rows.select_related("order"))


def _wanted(
    offers: Sequence[Offer],
    needs: Mapping[int, int],
    positions: Mapping[int, Position],
    targets: Mapping[int, Target],
    drafted: Mapping[tuple[int, int], int],
) -> dict[int, Wanted]:
    days, begun = days_of(offers), _begun(offers, drafted)
    sold: dict[int, list[Offer]] = defaultdict(list)
    for offer in offers:
        sold[offer.part_id].append(offer)
    found = {}
    for part, by in sold.items():
        at = begun.get(part)
        terms = tuple(_terms(offer, days[offer.pk]) for offer in by if at in (None, offer.supplier_id))
        target, position = targets.get(part), positions[part]
        cheapest = min(offer.price for offer in by)
        had = {offer.supplier_id: drafted.get((offer.supplier_id, part), 0) for offer in by}
        here = had[at] if at is not None else 0
        elsewhere = sum(had.values()) - here
        found[part] = Wanted(
            part=part,
            terms=terms,
            needed=max(needed - elsewhere, here) if (needed := needs.get(part, 0)) else 0,
            position=position.total,
            reorder_at=target.reorder_at if target else 0,
            rate=position.rate,
            most=target.most if target else None,
            loss=max(NOTHING, by[0].part.price - cheapest),
        )
    return found


def _terms(offer: Offer, days: int) -> Terms:
    breaks = tuple(sorted((one.at_least, one.price) for one in offer.breaks.all()))
    return Terms(offer.supplier_id, offer.price, offer.pack, offer.least, breaks, days)


def _house(supplier: Supplier, already: Decimal) -> House:
    return House(supplier.pk, supplier.least_value, supplier.carriage, supplier.free_carriage_from, already)
