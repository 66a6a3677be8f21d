"""The acts that keep stock for somebody: hold for a quote, commit for an order, release.

A reservation keeps all its wants or none. What is free on the shelf is kept first, then what sent
purchase orders still bring, by due date.
"""

from collections.abc import Mapping
from datetime import datetime

from django.contrib.auth.models import User
from django.utils import timezone

from .acting import ActError, Conflict, act
from .keeping import (
    allot,
    change_kept,
    end,
    keep,
    kept_from_stock,
    lapse,
    lock_current,
    settle_receipt,
    use_up,
)
from .ledger import lock_stock
from .models import Part, Reservation, Stock, WalkStop
from .promising import promise

__all__ = [
    "Lapsed",
    "Short",
    "commit",
    "hold",
    "lapse",
    "make_commitment",
    "release",
    "reserve",
    "settle_receipt",
    "use_up",
]


class Short(ActError):
    """Not everything can be kept, so nothing is. `details["lines"]` says what is short, and until when."""

    code = "short"


class Lapsed(ActError):
    """The hold is over; what it kept may be anybody's now."""

    code = "lapsed"


@act("inventory.keep_stock")
def hold(_user: User, wants: Mapping[int, int], *, until: datetime, reference: str) -> Reservation:
    """Keep `wants` (part id: how many) until a time. Raises Short."""
    now = timezone.now()
    if until <= now:
        raise ActError(
            f"A hold ends in the future, not at {timezone.localtime(until):%-d %b %Y %H:%M}.",
            code="until-is-past",
        )
    return reserve(wants, Reservation(kind=Reservation.Kind.HOLD, until=until, reference=reference), now)


@act("inventory.keep_stock")
def commit(_user: User, wants: Mapping[int, int], *, reference: str) -> Reservation:
    """Keep `wants` (part id: how many) for an order. Raises Short."""
    return reserve(wants, Reservation(kind=Reservation.Kind.COMMITMENT, reference=reference), timezone.now())


@act("inventory.keep_stock")
def make_commitment(_user: User, hold: Reservation, *, reference: str) -> Reservation:
    """Turn a live hold into a commitment of the same pieces. Raises Lapsed when the hold is over."""
    now = timezone.now()
    stocks = lock_stock(hold.lines.values_list("part_id", flat=True))
    hold.refresh_from_db()
    if hold.kind != Reservation.Kind.HOLD:
        raise Conflict(f"{hold} is a commitment already.")
    if hold.state == Reservation.State.LAPSED or (hold.until is not None and hold.until <= now):
        raise Lapsed(
            f"The {hold} ended {timezone.localtime(hold.until):%-d %b %Y %H:%M}. "
            "Commit anew: the pieces may still be free.",
        )
    if hold.state != Reservation.State.KEPT:
        raise Conflict(f"The {hold} was {hold.get_state_display()}. Commit anew.")
    change_kept(stocks, kept_from_stock(hold), held=-1, committed=1)
    hold.kind, hold.until, hold.reference = Reservation.Kind.COMMITMENT, None, reference
    hold.save(update_fields=["kind", "until", "reference"])
    return hold


@act("inventory.keep_stock")
def release(_user: User, reservation: Reservation) -> Reservation:
    """Give the pieces back. One that has ended already is returned as it is."""
    stocks = lock_current(reservation.lines.values_list("part_id", flat=True), timezone.now())
    reservation.refresh_from_db()
    if reservation.state == Reservation.State.USED:
        raise Conflict(f"The {reservation} is used up: its pieces have left the shop.")
    if reservation.state != Reservation.State.KEPT:
        return reservation
    if stop := WalkStop.objects.filter(reservation=reservation).select_related("walk").first():
        raise Conflict(f"The {reservation} is on walk {stop.walk}: its pieces are being picked.")
    end(reservation, Reservation.State.RELEASED, stocks)
    return reservation


def reserve(wants: Mapping[int, int], reservation: Reservation, now: datetime) -> Reservation:
    """Save `reservation` with all of `wants` kept for it, or raise Short. Plain: for acts to call."""
    if not wants or min(wants.values()) < 1:
        raise ActError("Name at least one part, and at least one piece of each.", code="nothing-wanted")
    _must_exist(wants)
    stocks = lock_current(wants, now)
    allotment = allot(wants, stocks)
    if allotment.missing:
        raise _short(wants, allotment.missing, stocks, now)
    reservation.save()
    keep(reservation, allotment, stocks)
    return reservation


def _must_exist(wants: Mapping[int, int]) -> None:
    known = set(Part.objects.filter(pk__in=list(wants)).values_list("pk", flat=True))
    if unknown := sorted(set(wants) - known):
        raise ActError(f"There is no part with id {unknown}.", code="no-such-part", parts=unknown)


def _short(
    wants: Mapping[int, int], missing: Mapping[int, int], stocks: Mapping[int, Stock], now: datetime
) -> Short:
    parts = Part.objects.select_related("maker").in_bulk(list(missing))
    days = {line.part_id: line.on for line in promise(wants, now).lines}
    lines, said = [], []
    for part_id in sorted(missing):
        part, stock, on = parts[part_id], stocks[part_id], days[part_id]
        here = stock.on_hand - stock.held - stock.committed
        lines.append(
            {
                "part": part_id,
                "number": part.number,
                "name": part.name,
                "wanted": wants[part_id],
                "free": here,
                "on": on.isoformat() if on else None,
            }
        )
        when = f"all of it by {on:%-d %b %Y}" if on else "nobody offers it"
        said.append(f"{wants[part_id]} x {part} wanted, {here} free ({when})")
    return Short(f"Nothing was kept, because not all of it can be: {'; '.join(said)}.", lines=lines)
