"""Deliveries that come too late: for orders that wait for them, and for what quotes hold of them."""

from collections import defaultdict
from collections.abc import Collection, Iterator
from datetime import date
from decimal import Decimal

from inventory.models import Alert, PurchaseLine, Reservation, ReservationLine
from inventory.planning.waiting_cost import waited_for
from inventory.supplying import Coming

from .shares import shares
from .sight import Sight
from .words import late, several


def late_lines(sight: Sight) -> Iterator[Alert]:
    """Lines that are overdue or put off while orders wait for them; one alert for each line."""
    found = [
        (one, waits)
        for one in sight.known.coming
        if _is_late(one.line, sight.today)
        and (
            waits := [
                wait for wait in _of(sight, one, Reservation.Kind.COMMITMENT) if _too_late(wait, one.on)
            ]
        )
    ]
    worth = _worth({wait.reservation_id for _, waits in found for wait in waits})
    for one, waits in found:
        names = sorted({wait.reservation.reference for wait in waits})
        pieces = sum(wait.quantity for wait in waits)
        wait = "waits" if len(names) == 1 else "wait"
        yield Alert(
            part_id=one.line.part_id,
            cause=Alert.Cause.LATE_LINE,
            about=str(one.line.pk),
            reason=f"{late(one.line, one.on, sight.today)}. {several(names)} {wait} for {pieces} of it.",
            quantity=0,
            supplier=one.line.order.supplier,
            purchase_line=one.line,
            order_by=sight.today,
            hits_on=min(_felt(wait, one.line) for wait in waits),
            cost_to_wait=waited_for((worth[pk] for pk in {w.reservation_id for w in waits}), shares()),
        )


def holds_at_risk(sight: Sight) -> Iterator[Alert]:
    """Holds whose pieces come too late; one alert for each hold and part, about its latest delivery."""
    worst: dict[tuple[int, int], tuple[Coming, ReservationLine]] = {}
    for one in sight.known.coming:
        for wait in _of(sight, one, Reservation.Kind.HOLD):
            due = wait.reservation.wanted_on
            if one.on > due if due is not None else _is_late(one.line, sight.today):
                key = wait.reservation_id, one.line.part_id
                if key not in worst or worst[key][0].on < one.on:
                    worst[key] = one, wait
    worth = _worth({pk for pk, _ in worst})
    for (pk, part_id), (one, wait) in sorted(worst.items()):
        wanted = wait.reservation.wanted_on
        wants = f", but is wanted on {wanted:%-d %b}" if wanted else ""
        yield Alert(
            part_id=part_id,
            cause=Alert.Cause.HOLD_AT_RISK,
            about=str(pk),
            reason=(
                f"{wait.quantity} held for {wait.reservation.reference} come by a delivery that is late"
                f"{wants}: {late(one.line, one.on, sight.today)}."
            ),
            quantity=0,
            supplier=one.line.order.supplier,
            purchase_line=one.line,
            reservation=wait.reservation,
            order_by=sight.today,
            hits_on=_felt(wait, one.line),
            cost_to_wait=waited_for([worth[pk]], shares()),
        )


def _of(sight: Sight, one: Coming, kind: Reservation.Kind) -> list[ReservationLine]:
    return [wait for wait in sight.waiting.get(one.line.pk, []) if wait.reservation.kind == kind]


def _is_late(line: PurchaseLine, today: date) -> bool:
    """Overdue, or put off since it was ordered."""
    return line.due < today or (line.first_due is not None and line.due > line.first_due)


def _too_late(wait: ReservationLine, on: date) -> bool:
    wanted = wait.reservation.wanted_on
    return wanted is None or on > wanted


def _felt(wait: ReservationLine, line: PurchaseLine) -> date:
    """The day on which the pieces are missed: when they are wanted, else when they were agreed to be here."""
    return wait.reservation.wanted_on or line.first_due or line.due


def _worth(reservations: Collection[int]) -> dict[int, Decimal]:
    """By reservation what all that it keeps sells for: it waits whole."""
    worth: dict[int, Decimal] = defaultdict(Decimal)
    if reservations:
        lines = ReservationLine.objects.filter(reservation_id__in=list(reservations)).order_by()
        for pk, quantity, price in lines.values_list("reservation_id", "quantity", "part__price"):
            worth[pk] += quantity * price
    return worth
