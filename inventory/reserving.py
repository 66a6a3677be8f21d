"""The acts that keep stock for somebody: hold for a quote, commit for an order, change, release.

A reservation keeps all its wants or none. What is free on the shelf is kept first, then what sent
purchase orders still bring, by the day it is counted on; what is wanted later is kept from what comes
later, where that is in time.
"""

from collections.abc import Mapping
from datetime import date, datetime

from django.contrib.auth.models import User
from django.db.models import F
from django.utils import timezone

from .acting import ActError, Conflict, act
from .alerting import availability_changed, look_after_commit
from .giving_way import lock_with_holds, make_way
from .keeping import (
    change_kept,
    end,
    keep,
    kept_from_stock,
    lapse,
    lock_current,
    lock_kept,
    pool_for,
    use_up,
)
from .models import Reservation, WalkStop
from .quick import keep_from_shelf
from .rekeeping import rekeep
from .shortness import Short, must_exist, short
from .tying import retie, settle_receipt, tie_anew, wanted_later

__all__ = [
    "Lapsed",
    "Short",
    "change",
    "commit",
    "commit_before_holds",
    "hold",
    "lapse",
    "make_commitment",
    "prolong",
    "release",
    "reserve",
    "retie",
    "settle_receipt",
    "use_up",
]


class Lapsed(ActError):
    """The hold is over; what it kept may be anybody's now."""

    code = "lapsed"


@act("inventory.keep_stock")
def hold(
    _user: User, wants: Mapping[int, int], *, until: datetime, reference: str, wanted_on: date | None = None
) -> Reservation:
    """Keep `wants` (part id: how many) until a time. Raises Short."""
    now = timezone.now()
    _must_be_ahead(until, now)
    kept = Reservation(kind=Reservation.Kind.HOLD, until=until, reference=reference, wanted_on=wanted_on)
    return reserve(wants, kept, now)


@act("inventory.keep_stock")
def commit(
    _user: User, wants: Mapping[int, int], *, reference: str, wanted_on: date | None = None
) -> Reservation:
    """Keep `wants` (part id: how many) for an order. Raises Short."""
    kept = Reservation(kind=Reservation.Kind.COMMITMENT, reference=reference, wanted_on=wanted_on)
    return reserve(wants, kept, timezone.now())


@act("inventory.keep_stock")
def commit_before_holds(
    _user: User, wants: Mapping[int, int], *, reference: str, wanted_on: date | None = None
) -> tuple[Reservation, list[Reservation]]:
    """Keep `wants` for an order even where holds are in the way; those that gave way are returned.

    Whether an order may do that is the shop's policy, and the caller's to ask. Raises Short when it is not
    enough even then, and no hold gives way.
    """
    now = timezone.now()
    kept = Reservation(kind=Reservation.Kind.COMMITMENT, reference=reference, wanted_on=wanted_on)
    must_exist(wants)
    stocks, holds = lock_with_holds(wants, now)
    gave_way: list[Reservation] = []
    missing = pool_for(wants, stocks, kept, now).allot(wants, wanted_on).missing
    if missing:
        gave_way = make_way(missing, holds, stocks)
        if not gave_way:
            raise short(wants, missing, stocks, now)
        availability_changed(stocks)
    return reserve(wants, kept, now), gave_way


@act("inventory.keep_stock")
def make_commitment(_user: User, hold: Reservation, *, reference: str) -> Reservation:
    """Turn a live hold into a commitment of the same pieces. Raises Lapsed when the hold is over."""
    now = timezone.now()
    stocks = lock_kept([hold.pk], now)
    hold.refresh_from_db()
    _must_be_a_live_hold(hold, now)
    change_kept(stocks, kept_from_stock(hold), held=-1, committed=1)
    hold.kind, hold.until, hold.reference = Reservation.Kind.COMMITMENT, None, reference
    hold.save(update_fields=["kind", "until", "reference"])
    availability_changed(stocks)
    return hold


@act("inventory.keep_stock")
def prolong(_user: User, hold: Reservation, *, until: datetime) -> Reservation:
    """Let a live hold end at another time, later or sooner. Raises Lapsed when it is over already."""
    now = timezone.now()
    _must_be_ahead(until, now)
    lock_kept([hold.pk], now)
    hold.refresh_from_db()
    _must_be_a_live_hold(hold, now)
    hold.until = until
    hold.save(update_fields=["until"])
    return hold


@act("inventory.keep_stock")
def change(_user: User, reservation: Reservation, wants: Mapping[int, int]) -> Reservation:
    """Let a reservation keep exactly `wants` from now on: what it needs no more is free at once.

    Whole or not at all: Short, and it keeps what it kept. Raises Lapsed when a hold is over, Conflict when
    it has ended or is being picked.
    """
    now = timezone.now()
    must_exist(wants)
    stocks = lock_kept([reservation.pk], now, also=wants)
    reservation.refresh_from_db()
    if reservation.kind == Reservation.Kind.HOLD:
        _must_be_a_live_hold(reservation, now)
    elif reservation.state != Reservation.State.KEPT:
        raise Conflict(f"The {reservation} is {reservation.get_state_display()}: commit anew.")
    _refuse_on_walk(reservation)
    if wanted_later(wants, timezone.localdate(now)):
        tie_anew({part: stocks[part] for part in wants}, now)
    if missing := rekeep(reservation, wants, stocks, now):
        raise short(wants, missing, stocks, now, reservation)
    availability_changed(stocks)
    return reservation


@act("inventory.keep_stock")
def release(_user: User, reservation: Reservation) -> Reservation:
    """Give the pieces back. One that has ended already is returned as it is."""
    stocks = lock_kept([reservation.pk], timezone.now())
    reservation.refresh_from_db()
    if reservation.state == Reservation.State.USED:
        raise Conflict(f"The {reservation} is used up: its pieces have left the shop.")
    if reservation.state != Reservation.State.KEPT:
        return reservation
    _refuse_on_walk(reservation)
    end(reservation, Reservation.State.RELEASED, stocks)
    availability_changed(stocks)
    return reservation


def reserve(wants: Mapping[int, int], reservation: Reservation, now: datetime) -> Reservation:
    """Save `reservation` with all of `wants` kept for it, or raise Short. Plain: for acts to call."""
    at_once = reservation.wanted_on is None or reservation.wanted_on <= timezone.localdate(now)
    if at_once and wants and min(wants.values()) > 0 and keep_from_shelf(wants, reservation):
        return reservation
    must_exist(wants)
    stocks = lock_current(wants, now)
    allotment = pool_for(wants, stocks, reservation, now).allot(wants, reservation.wanted_on)
    if at_once and allotment.beyond_shelf and wanted_later(wants, timezone.localdate(now)):
        # What somebody keeps here for later may come in time by a delivery as well: this one wants it now.
        tie_anew({part: stocks[part] for part in wants}, now)
        allotment = pool_for(wants, stocks, reservation, now).allot(wants, None)
    if allotment.missing:
        raise short(wants, allotment.missing, stocks, now)
    reservation.save()
    keep(reservation, allotment, stocks)
    if allotment.from_lines:
        look_after_commit(wants)  # What comes may come late.
    else:
        availability_changed(wants)
    return reservation


def _must_be_ahead(until: datetime, now: datetime) -> None:
    if until <= now:
        raise ActError(
            f"A hold ends in the future, not at {timezone.localtime(until):%-d %b %Y %H:%M}.",
            code="until-is-past",
        )


def _must_be_a_live_hold(hold: Reservation, now: datetime) -> None:
    if hold.kind != Reservation.Kind.HOLD:
        raise Conflict(f"{hold} is a commitment already.")
    if hold.state == Reservation.State.LAPSED or (
        hold.state == Reservation.State.KEPT and hold.until is not None and hold.until <= now
    ):
        raise Lapsed(
            f"The {hold} ended {timezone.localtime(hold.until):%-d %b %Y %H:%M}. "
            "Commit anew: the pieces may still be free.",
        )
    if hold.state != Reservation.State.KEPT:
        raise Conflict(f"The {hold} {_how_it_ended(hold)}. Commit anew.")


def _how_it_ended(hold: Reservation) -> str:
    return "gave way to an order" if hold.state == Reservation.State.GAVE_WAY else f"was {hold.state}"


def _refuse_on_walk(reservation: Reservation) -> None:
    stops = WalkStop.objects.filter(reservation=reservation, quantity__gt=F("let_go"))
    if stop := stops.select_related("walk").first():
        raise Conflict(f"The {reservation} is on walk {stop.walk}: its pieces are being picked.")
