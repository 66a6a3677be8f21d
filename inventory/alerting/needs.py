"""Parts to order: below target, running out before more could come, and cheaper by the larger lot."""

from collections.abc import Iterator
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction

from django.conf import settings

from inventory.models import Alert, Offer, Target
from inventory.planning import order_by, order_quantity
from inventory.planning.waiting_cost import Lot, best_saving, missed, out_on

from .carried import carried
from .shares import shares
from .sight import Position, Sight
from .words import have, pace, source

# What runs out within so many days, and nobody offers it, is told in time to find somebody.
TO_FIND_SOMEBODY = timedelta(days=90)
# Nearly to be ordered: not more above the level to order at than this share of what is ordered at a time.
NEARLY = Fraction(1, 4)


def needs(sight: Sight) -> Iterator[Alert]:
    """What to order of parts that have a target; of one that is not to be bought any more, nothing."""
    urgent = []
    for target in sight.targets:
        if target.up_to:
            below, soon = _below_target(target, sight), _runs_out(target, sight)
            urgent += [alert for alert in (below, soon) if alert is not None]
            if (cheaper := _price_break(target, sight)) is not None:
                yield cheaper
    costly = [alert for alert in urgent if alert.hits_on is not None]
    worth = carried({alert.part_id: alert.part for alert in costly}, sight.today)
    for alert in urgent:
        if alert.part_id in worth:
            alert.cost_to_wait = _a_day_later(alert, worth[alert.part_id], sight)
        yield alert


def _below_target(target: Target, sight: Sight) -> Alert | None:
    position, offer = sight.positions[target.part_id], sight.offer(target.part_id)
    if position.total > target.reorder_at:
        return None
    drafted = f" ({position.drafted} in a draft: send it)" if position.drafted else ""
    days = offer.days if offer else 0
    return Alert(
        part=target.part,
        cause=Alert.Cause.BELOW_TARGET,
        reason=(
            f"{position.free} free and {position.to_come} to come{drafted}; "
            f"order at {target.reorder_at}, up to {target.up_to}. "
            f"{pace(position, sight.today)}; {source(offer)}."
        ),
        quantity=_wanted(target, position, offer),
        supplier=offer.supplier if offer else None,
        order_by=order_by(position.total, position.rate, days, sight.today),
        hits_on=_out(target.part_id, sight),
    )


def _runs_out(target: Target, sight: Sight) -> Alert | None:
    """Out before the next delivery, or before what is ordered today would be here.

    What to order is told by the alert that it is below target, where there is one.
    """
    position, anew = sight.positions[target.part_id], sight.anew.get(target.part_id)
    out = _out(target.part_id, sight)
    if out is None:
        return None
    coming = min((one.on for one in sight.coming[target.part_id]), default=None)
    in_time = anew.on if anew else sight.today + TO_FIND_SOMEBODY
    if out >= max(coming or in_time, in_time):
        return None
    offer = anew.offer if anew else None
    next_one = f"the next delivery is counted on for {coming:%-d %b}" if coming else "nothing is on its way"
    told = position.total <= target.reorder_at
    return Alert(
        part=target.part,
        cause=Alert.Cause.RUNS_OUT,
        reason=f"{have(position)}: out by {out:%-d %b}; {next_one}, and {source(offer)}.",
        quantity=0 if told else _wanted(target, position, offer),
        supplier=offer.supplier if offer else None,
        order_by=sight.today,
        hits_on=out,
    )


def _price_break(target: Target, sight: Sight) -> Alert | None:
    """More at once than is needed, for less, where an order is due or nearly."""
    position, offer = sight.positions[target.part_id], sight.offer(target.part_id)
    spare = position.total - target.reorder_at
    if offer is None or spare > NEARLY * (target.up_to - target.reorder_at) or position.drafted:
        return None
    usual = _wanted(target, position, offer)
    most = None if target.most is None else target.most - position.total
    lots = [_in_packs(offer, one.at_least, one.price) for one in sight.breaks[target.part_id]]
    reached = [lot.price for lot in lots if lot.pieces <= usual]
    found = best_saving(
        position.rate,
        Lot(usual, min([offer.price, *reached])),
        [lot for lot in lots if most is None or lot.pieces <= most],
        settings.SHOP_ORDER_COST,
        shares(),
    )
    if found is None:
        return None
    lot, saved = found
    return Alert(
        part=target.part,
        cause=Alert.Cause.PRICE_BREAK,
        reason=(
            f"{lot.pieces} at once cost {lot.price} each instead of {min([offer.price, *reached])} for "
            f"{usual}: over the {round(saved.days)} days that they last this saves {saved.money}, "
            f"with what it costs to keep them taken off; {source(offer)}."
        ),
        quantity=lot.pieces,
        supplier=offer.supplier,
        order_by=order_by(position.total, position.rate, offer.days, sight.today),
        cost_to_wait=saved.a_day,
    )


def _in_packs(offer: Offer, at_least: int, price: Decimal) -> Lot:
    return Lot(order_quantity(0, at_least, offer.pack, offer.least), price)


def _wanted(target: Target, position: Position, offer: Offer | None) -> int:
    pack, least = (offer.pack, offer.least) if offer else (1, 1)
    return order_quantity(position.total, target.up_to, pack, least)


def _out(part_id: int, sight: Sight) -> date | None:
    return out_on(sight.changes[part_id], sight.positions[part_id].rate, sight.today)


def _a_day_later(alert: Alert, worth: Decimal, sight: Sight) -> Decimal:
    anew = sight.anew.get(alert.part_id)
    rate = sight.positions[alert.part_id].rate
    return missed(rate, worth, alert.hits_on, anew.on if anew else None, shares())
