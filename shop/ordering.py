"""Act of the counter on orders: accept a quote; and what lets waiting orders go ahead."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Collection, Mapping, Sequence
from datetime import datetime
from decimal import Decimal

from django.conf import settings
from django.contrib.auth.models import User
from django.db.models import Exists, OuterRef, Q
from django.utils import timezone

from inventory import buying, reserving
from inventory.acting import act
from inventory.keeping import lock_current
from inventory.models import Alert, Reservation, ReservationLine
from inventory.promising import in_turn
from inventory.sources import kept_for_nobody

from .bench_days import parts_wanted_on, ships_on
from .models import Notice, Order, OrderKit, Quote
from .noticing import notice
from .quoting import live_hold, locked_open
from .redating import expect, tell
from .wants import awaited, date_kept, date_promised, days_kept, turns_of, wants_by_quote, wants_of


@act("shop.sell")
def accept(user: User, quote: Quote) -> Order:
    """Turn a quote into an order, with its parts kept for it: whole or not at all.

    A live hold becomes the commitment. Without one the parts are committed now; if they fall short the
    order waits with nothing kept, its date is the promise, and buying is told what is missing.
    Where the shop's policy says so it may take what is only held for a quote; the counter hears of that.
    The date counts the last part to come, and after it the shop works: their minutes as whole days of
    eight hours, at least one day where there is any work.
    """
    now = timezone.now()
    quote = locked_open(quote, now)
    order = Order.objects.create(
        quote=quote,
        customer=quote.customer,
        state=Order.State.WAITING,
        accepted_at=now,
        accepted_by=user,
    )
    OrderKit.objects.bulk_create(
        OrderKit(order=order, quote_kit=kit, ordinal=ordinal)
        for kit in quote.kits.all()
        for ordinal in range(1, kit.quantity + 1)
    )
    quote.state = Quote.State.ACCEPTED
    quote.save(update_fields=["state"])
    wants = wants_of(quote)
    kept = _commit(user, quote, order, wants, now)
    if kept is None:
        tell(order, date_promised(quote, wants, now))
        tell_buying(now)
    else:
        _give(order, kept, now)
        tell(order, ships_on(quote, date_kept(kept, timezone.localdate(now))))
    return order


def review_waiting(now: datetime, why: str = "", also: Collection[int] = ()) -> list[Order]:
    """Look at the waiting orders, oldest first; returns those that became ready to pick.

    An order that nothing is kept for is kept whole if it now can be; one that cannot lets a younger
    order pass that needs less, and is promised a day in its turn. What others wait for is tied anew to the
    soonest supply, and one whose parts have all arrived becomes ready. Of a day that moves the counter
    hears, with `why`. Buying's alerts that an order waits are brought up to date. What waits for the parts
    in `also` is tied anew, whoever waits. One that was ready for a later day and whose parts went to somebody
    sooner waits from then on. Runs in the caller's transaction.
    """
    waiting = _locked(Q(state=Order.State.WAITING))
    wanted = wants_by_quote(order.quote_id for order in waiting if order.reservation is None)
    wants = {quote: Counter(of_one) for quote, of_one in wanted.items()}
    parts = _parts_awaited(waiting).union(also)
    left = kept_for_nobody(lock_current(parts.union(*wants.values()), now))
    for order in waiting:
        # Most that wait lack something still: that is seen without asking for each of them.
        if order.reservation is None and wants[order.quote_id] <= left:
            kept = Reservation(
                kind=Reservation.Kind.COMMITMENT,
                reference=order.number,
                wanted_on=parts_wanted_on(order.quote, timezone.localdate(now)),
            )
            try:
                reserving.reserve(wants[order.quote_id], kept, now)
            except reserving.Short:
                continue
            left.subtract(wants[order.quote_id])
            _give(order, kept, now)
    reserving.retie(parts, now)
    kept_for = [order for order in waiting if order.reservation is not None]
    others = ~Q(pk__in=[order.pk for order in kept_for])
    _look_again(kept_for + _locked(Q(others, _TIED, state=Order.State.READY)), now, why)
    _promise_in_turn([order for order in waiting if order.reservation is None], now)
    tell_buying(now)
    return [order for order in waiting if order.state == Order.State.READY]


# What is kept for a later day may be tied to a delivery while the order is ready to pick.
_TIED = Exists(
    ReservationLine.objects.filter(reservation=OuterRef("reservation"), purchase_line__isnull=False)
)


def _locked(which: Q) -> list[Order]:
    """These orders, locked, as they were accepted."""
    orders = Order.objects.select_for_update(of=("self",)).select_related("reservation", "quote", "customer")
    return list(orders.filter(which).order_by("accepted_at", "id"))


def _parts_awaited(orders: Sequence[Order]) -> set[int]:
    """What these orders, as far as something is kept for them, wait for."""
    reservations = [order.reservation_id for order in orders if order.reservation_id]
    lines = awaited(reservations)
    return {line.part_id for of_one in lines.values() for line in of_one}


def _look_again(orders: Sequence[Order], now: datetime, why: str) -> None:
    """Of orders that something is kept for: is all of it here, and on which day are they expected?"""
    today = timezone.localdate(now)
    kept = [order.reservation_id for order in orders if order.reservation_id]
    still, days = awaited(kept), days_kept(kept, today)
    for order in orders:
        assert order.reservation_id is not None  # So they were chosen.
        state = Order.State.WAITING if order.reservation_id in still else Order.State.READY
        if order.state != state:
            order.state = state
            order.save(update_fields=["state"])
        expect(order, ships_on(order.quote, days[order.reservation_id]), now, why)


def _promise_in_turn(orders: Sequence[Order], now: datetime) -> None:
    """Of those that still wait with nothing kept: the day by which each could be had, the oldest first."""
    for order, promise in zip(orders, in_turn(turns_of(orders), now), strict=True):
        on = ships_on(order.quote, promise.on) if promise.on else None
        expect(order, on, now, "Nothing is kept for it yet.")


def tell_buying(now: datetime) -> None:
    """Say for which parts orders wait with nothing kept; take back what nothing waits for any more."""
    waiting = Order.objects.filter(state=Order.State.WAITING, reservation__isnull=True)
    orders = list(waiting.select_related("quote").order_by("accepted_at", "id"))
    wanted_of = wants_by_quote(order.quote_id for order in orders)
    wants: Counter[int] = Counter()
    worth: dict[int, Decimal] = defaultdict(Decimal)  # An order waits whole for each part that it lacks.
    for order in orders:
        for part, wanted in wanted_of.get(order.quote_id, {}).items():
            wants[part] += wanted
            worth[part] += order.quote.net
    opened = Alert.objects.filter(cause=Alert.Cause.ORDER_WAITS, cleared_at__isnull=True)
    buying.clear_waiting(set(opened.values_list("part", flat=True)) - set(wants), now)
    if wants:
        buying.alert_waiting(wants, _who_waits(orders), now, worth)


def _commit(
    user: User, quote: Quote, order: Order, wants: Mapping[int, int], now: datetime
) -> Reservation | None:
    held = live_hold(quote, now)
    if held is not None:
        try:
            return reserving.make_commitment(user, held, reference=order.number)
        except reserving.Lapsed:
            pass  # It ended a moment ago: the parts may still be there for everybody.
    wanted_on = parts_wanted_on(quote, timezone.localdate(now))
    try:
        if not settings.SHOP_ORDERS_TAKE_HOLDS:
            return reserving.commit(user, wants, reference=order.number, wanted_on=wanted_on)
        kept, gave_way = reserving.commit_before_holds(
            user, wants, reference=order.number, wanted_on=wanted_on
        )
    except reserving.Short:
        return None
    _tell_quotes(gave_way, order, now)
    return kept


def _tell_quotes(gave_way: Sequence[Reservation], order: Order, now: datetime) -> None:
    """The counter hears of each quote whose hold gave way to the order."""
    for quote in Quote.objects.filter(reservation__in=gave_way).select_related("customer").order_by("pk"):
        text = f"{quote} for {quote.customer}: its parts went to order {order}. Hold them anew, or say when."
        notice(Notice.Kind.HOLD_TAKEN, quote, text, now)


def _give(order: Order, kept: Reservation, now: datetime) -> None:
    """The order has its parts, on hand or to come: it is ready if all are here.

    Buying looks again at once, not only when the parts leave: they are gone for everybody else.
    """
    order.reservation = kept
    if not awaited([kept.pk]):
        order.state = Order.State.READY
    order.save(update_fields=["reservation", "state"])
    buying.look_again(set(kept.lines.values_list("part", flat=True)), now)


def _who_waits(orders: Sequence[Order]) -> str:
    named = ", ".join(order.number for order in orders[:5])
    more = f" and {len(orders) - 5} more" if len(orders) > 5 else ""
    return f"{named}{more} {'waits' if len(orders) == 1 else 'wait'} with nothing kept"
