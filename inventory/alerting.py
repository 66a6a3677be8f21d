"""Alerts: buying should act. Looked at anew as often as one likes, with the same outcome.

The position of a part is what is free, and what is still to come and reserved for nobody.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from fractions import Fraction

from django.db.models import F, Min, Sum
from django.utils import timezone

from .models import Alert, MonthlyDemand, Offer, PurchaseLine, PurchaseOrder, Target
from .planning import daily_rate, lasts_until, order_by, order_quantity
from .promising import best_offers, free, to_come

MONTHS = 12
AT_ONCE = 1000  # parts looked at in one go: enough to be quick, few enough for one statement


@dataclass(frozen=True)
class Position:
    """What can still be had of one part, and how fast it goes."""

    free: int
    to_come: int
    drafted: int
    rate: Fraction

    @property
    def total(self) -> int:
        return self.free + self.to_come


def look_again(part_ids: Iterable[int] | None, now: datetime) -> list[Alert]:
    """Raise, update or clear the below-target alerts of these parts; of all parts when None.

    Returns those that are open now. Parts without a target are left alone.
    """
    targets = Target.objects.select_related("part").order_by("part_id")
    if part_ids is not None:
        targets = targets.filter(part_id__in=set(part_ids))
    found = list(targets)
    alerts: list[Alert] = []
    for start in range(0, len(found), AT_ONCE):
        alerts += _look_at(found[start : start + AT_ONCE], now)
    return alerts


def _look_at(targets: Sequence[Target], now: datetime) -> list[Alert]:
    today = timezone.localdate(now)
    ids = [target.part_id for target in targets]
    positions, offers = positions_of(ids, now), best_offers(ids)
    wanted: dict[int, Alert] = {}
    for target in targets:
        position = positions[target.part_id]
        if position.total <= target.reorder_at:
            wanted[target.part_id] = _below_target(target, position, offers.get(target.part_id), today)
    return _write(Alert.Cause.BELOW_TARGET, ids, wanted, now)


def positions_of(part_ids: Sequence[int], now: datetime) -> dict[int, Position]:
    """The position of each of these parts, in a handful of statements."""
    here, inbound, rates = free(part_ids, now), to_come(part_ids, now), _rates(part_ids, now)
    drafts = PurchaseLine.objects.filter(part_id__in=part_ids, order__state=PurchaseOrder.State.DRAFT)
    drafted = dict(drafts.order_by().values_list("part_id").annotate(Sum("quantity")))
    return {
        part_id: Position(
            free=here[part_id],
            to_come=sum(arrival.left for arrival in inbound.get(part_id, [])),
            drafted=drafted.get(part_id, 0),
            rate=rates.get(part_id, Fraction(0)),
        )
        for part_id in part_ids
    }


def _rates(part_ids: Sequence[int], now: datetime) -> dict[int, Fraction]:
    """Pieces a day over the last twelve whole months, or since the part was first sold if that is later."""
    this_month = timezone.localdate(now).replace(day=1)
    first_month = this_month.replace(year=this_month.year - 1)
    past = MonthlyDemand.objects.filter(part_id__in=part_ids, month__lt=this_month).order_by()
    known_since = dict(past.values_list("part_id").annotate(Min("month")))
    sold: dict[int, list[int]] = defaultdict(list)
    for part_id, quantity in past.filter(month__gte=first_month).values_list("part_id", "quantity"):
        sold[part_id].append(quantity)
    rates = {}
    for part_id, quantities in sold.items():
        since = max(known_since[part_id], first_month)
        months = (this_month.year - since.year) * MONTHS + this_month.month - since.month
        rates[part_id] = daily_rate(quantities + [0] * (months - len(quantities)))
    return rates


def count_demand(quantities: Mapping[int, int], on: date) -> None:
    """Add what was shipped to the month's demand of each part. Runs with their Stock rows locked."""
    month = on.replace(day=1)
    for part_id, quantity in sorted(quantities.items()):
        rows = MonthlyDemand.objects.filter(part_id=part_id, month=month)
        if not rows.update(quantity=F("quantity") + quantity):
            MonthlyDemand.objects.create(part_id=part_id, month=month, quantity=quantity)


def _below_target(target: Target, position: Position, offer: Offer | None, today: date) -> Alert:
    pack, least, days = (offer.pack, offer.least, offer.days) if offer else (1, 1, 0)
    drafted = f" ({position.drafted} in a draft: send it)" if position.drafted else ""
    return Alert(
        part_id=target.part_id,
        cause=Alert.Cause.BELOW_TARGET,
        reason=(
            f"{position.free} free and {position.to_come} to come{drafted}; "
            f"order at {target.reorder_at}, up to {target.up_to}. {_pace(position, today)}; {_source(offer)}."
        )[:300],
        quantity=order_quantity(position.total, target.up_to, pack, least),
        supplier=offer.supplier if offer else None,
        order_by=order_by(position.total, position.rate, days, today),
    )


def _pace(position: Position, today: date) -> str:
    if not position.rate:
        return f"Nothing was sold in the last {MONTHS} months"
    until = lasts_until(position.total, position.rate, today)
    return f"At {float(position.rate):.2g} a day it lasts " + (
        f"until {until:%-d %b}" if until else "more than a year"
    )


def _source(offer: Offer | None) -> str:
    return f"{offer.supplier} takes {offer.days} days" if offer else "nobody offers it: find a supplier"


def alert_waiting(wants: Mapping[int, int], reason: str, now: datetime) -> list[Alert]:
    """Raise or update the alert that an order waits, for each part of `wants` that is short.

    `wants` are all that waiting orders want of these parts together. A part of which enough is free
    or to come needs no buying: its alert is cleared. Returns those that are open now.
    """
    today, ids = timezone.localdate(now), sorted(wants)
    positions, offers = positions_of(ids, now), best_offers(ids)
    alerts = {}
    for part_id in ids:
        position, offer = positions[part_id], offers.get(part_id)
        if position.total < wants[part_id]:
            pack, least = (offer.pack, offer.least) if offer else (1, 1)
            alerts[part_id] = Alert(
                part_id=part_id,
                cause=Alert.Cause.ORDER_WAITS,
                reason=(
                    f"{reason}: {wants[part_id]} wanted, {position.free} free and {position.to_come} "
                    f"to come; {_source(offer)}."
                )[:300],
                quantity=order_quantity(position.total, wants[part_id], pack, least),
                supplier=offer.supplier if offer else None,
                order_by=today,
            )
    return _write(Alert.Cause.ORDER_WAITS, ids, alerts, now)


def clear_waiting(part_ids: Iterable[int], now: datetime) -> None:
    """No order waits for these parts any more."""
    _write(Alert.Cause.ORDER_WAITS, sorted(set(part_ids)), {}, now)


def _write(
    cause: Alert.Cause, part_ids: Sequence[int], wanted: Mapping[int, Alert], now: datetime
) -> list[Alert]:
    """Make the open alerts of these parts for this cause be `wanted`: at most one each."""
    opened = Alert.objects.filter(part_id__in=part_ids, cause=cause, cleared_at=None)
    opened.exclude(part_id__in=list(wanted)).update(cleared_at=now, updated_at=now)
    known = {alert.part_id: alert for alert in opened.filter(part_id__in=list(wanted))}
    # Somebody else may raise the same alert at this moment: the constraint keeps one of the two.
    Alert.objects.bulk_create(
        [wanted[part_id] for part_id in sorted(wanted) if part_id not in known], ignore_conflicts=True
    )
    changed = []
    for part_id, alert in sorted(known.items()):
        new = wanted[part_id]
        if _told(alert) != _told(new):
            alert.reason, alert.quantity = new.reason, new.quantity
            alert.supplier, alert.order_by, alert.updated_at = new.supplier, new.order_by, now
            changed.append(alert)
    Alert.objects.bulk_update(changed, ["reason", "quantity", "supplier", "order_by", "updated_at"])
    return list(opened.select_related("part__maker", "supplier").order_by("part_id"))


def _told(alert: Alert) -> tuple[str, int, int | None, date]:
    return alert.reason, alert.quantity, alert.supplier_id, alert.order_by
