"""What to order now, from whom, how many and until when: suggestions by supplier. Reads only.

A suggestion is what open orders to the supplier should hold in all: of what is in a draft already, `drafted`
says how much. So two buyers who take the same suggestion up order it once.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal

from django.conf import settings
from django.utils import timezone

from .buying.terms import NOTHING
from .buying.timing import LastDay, last_days
from .models import Alert, Part, Supplier
from .planning.order_terms import Line, Plan, Planned
from .planning.suggesting import plan_orders
from .wanting import Wants, wants_now


@dataclass(frozen=True)
class SuggestedLine:
    """Order so many of the part. `drafted` of them are in orders to the supplier that have not gone yet."""

    part: Part
    quantity: int
    price: Decimal
    why: str
    alerts: tuple[Alert, ...]
    drafted: int = 0

    @property
    def value(self) -> Decimal:
        return self.quantity * self.price


@dataclass(frozen=True)
class Suggestion:
    """One order to one supplier. `total` is the goods; carriage comes on top of it.

    `below_least` is how much is missing until the supplier takes the order, `to_free_carriage` until they
    bring it for nothing; 0 where nothing is. After `send_by` something runs out before it comes; it is past
    where that is too late already. `why` names what decides it.
    """

    supplier: Supplier
    lines: tuple[SuggestedLine, ...]
    total: Decimal
    carriage: Decimal
    below_least: Decimal
    to_free_carriage: Decimal
    send_by: date
    why: str = ""


def suggestions(now: datetime) -> list[Suggestion]:
    """An order for each supplier from whom something is needed, the first to send first."""
    wants = wants_now(now)
    plan = Plan(settings.SHOP_BUYING_DAYS, settings.SHOP_HOLDING_RATE)
    orders = plan_orders(list(wants.wanted.values()), wants.houses.values(), plan)
    found = [_suggestion(order, wants, now) for order in orders]
    return sorted(found, key=lambda one: (one.send_by, one.supplier.name))


def _suggestion(order: Planned, wants: Wants, now: datetime) -> Suggestion:
    supplier, house = wants.suppliers[order.supplier], wants.houses[order.supplier]
    today = timezone.localdate(now)
    goods = order.goods + house.already
    needed = {line.part: wants.terms(line.part, supplier).days for line in order.lines if line.needed}
    days = last_days(needed, now)
    part, first = min(days.items(), key=lambda one: one[1].on, default=(None, None))
    lines = tuple(_line(line, wants, supplier, now) for line in order.lines)
    free = house.free_from if order.carriage else None
    return Suggestion(
        supplier=supplier,
        lines=lines,
        total=order.goods,
        carriage=order.carriage,
        below_least=max(NOTHING, house.least_value - goods),
        to_free_carriage=NOTHING if free is None else max(NOTHING, free - goods),
        send_by=first.on if first else today + timedelta(days=supplier.review_days),
        why=_decides(part, wants, supplier, first) if part is not None and first else "",
    )


def _decides(part_id: int, wants: Wants, supplier: Supplier, last: LastDay) -> str:
    part, causes = wants.parts[part_id], {alert.cause for alert in wants.alerts.get(part_id, ())}
    takes = f"and {supplier} takes {last.days} days"
    if last.until is not None and last.on == last.until - timedelta(days=last.days):
        return f"{part} lasts until {last.until:%-d %b}, {takes}, with lateness."
    if Alert.Cause.ORDER_WAITS in causes:
        return f"An order waits for {part}, {takes}."
    if causes == {Alert.Cause.RUNS_OUT}:
        return f"{part} runs out before more comes, {takes}."
    return f"{part} is down to where it is ordered, {takes}."


def _line(line: Line, wants: Wants, supplier: Supplier, now: datetime) -> SuggestedLine:
    return SuggestedLine(
        part=wants.parts[line.part],
        quantity=line.quantity,
        price=line.price,
        why=_why(line, wants, supplier, now),
        alerts=tuple(wants.alerts.get(line.part, ())),
        drafted=wants.drafted.get((supplier.pk, line.part), 0),
    )


def _why(line: Line, wants: Wants, supplier: Supplier, now: datetime) -> str:
    """A sentence for each thing that the quantity is for."""
    one, terms = wants.wanted[line.part], wants.terms(line.part, supplier)
    position, target = wants.positions[line.part], wants.targets.get(line.part)
    said = [f"{position.free} free and {position.to_come} to come"]
    if target is not None:
        said[0] += f", order at {target.reorder_at}, up to {target.up_to}"
    if line.needed:
        rest = line.quantity - line.needed - line.for_break - line.to_fill
        said[0] += f": {line.needed} needed"
        said[0] += f", {line.needed + rest} as they are sold" if rest > 0 else ""
        others = len(one.terms) - 1
        said.append(
            f"{'Best in all' if others else 'Only'} from {supplier} at {line.price:,.2f}, "
            f"here in {terms.days} days"
        )
    if line.for_break:
        usual = terms.each(line.quantity - line.for_break - line.to_fill)
        said.append(
            f"{line.for_break} more for {terms.each(line.quantity):,.2f} instead of {usual:,.2f} each: "
            f"saves {line.saves:,.2f}, the longer wait on the shelf counted"
        )
    if line.to_fill:
        on = timezone.localdate(now) + timedelta(days=int(one.soon(line.quantity - line.to_fill)))
        said.append(f"{line.to_fill} to fill the order up: to be ordered about {on:%-d %b} anyway")
    return ". ".join(said) + "."
