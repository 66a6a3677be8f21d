"""What quotes and orders want of the store room, and when they could have it. Reads only."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from datetime import date, datetime

from django.db.models import F, Q, Sum
from django.utils import timezone

from inventory import lateness
from inventory.models import PurchaseLine, Reservation, ReservationLine
from inventory.promising import Promise, Turn, promise

from .bench_days import parts_wanted_on, ships_on
from .models import Order, Quote, QuoteLine


def wants_of(quote: Quote) -> dict[int, int]:
    """How many of each part the whole quote takes: quantity in the kit times kits."""
    return wants_by_quote([quote.pk]).get(quote.pk, {})


def wants_by_quote(quotes: Iterable[int]) -> dict[int, dict[int, int]]:
    """The same for many quotes, by primary key, in one query."""
    lines = (
        QuoteLine.objects.filter(quote_kit__quote__in=list(quotes), kind=QuoteLine.Kind.PART)
        .order_by()
        .values_list("quote_kit__quote", "part")
        .annotate(wanted=Sum(F("quantity") * F("quote_kit__quantity")))
    )
    wants: dict[int, dict[int, int]] = {}
    for quote, part, wanted in lines:
        assert part is not None  # A constraint: a part line has a part.
        wants.setdefault(quote, {})[part] = wanted
    return wants


def awaited(reservations: Iterable[int]) -> dict[int, list[PurchaseLine]]:
    """By reservation, of those that still wait, the purchase lines that they wait for; one query."""
    lines = ReservationLine.objects.filter(
        reservation__in=list(reservations), purchase_line__isnull=False
    ).select_related("purchase_line__order__supplier")
    found: dict[int, list[PurchaseLine]] = defaultdict(list)
    for line in lines:
        assert line.purchase_line is not None  # Asked for above.
        found[line.reservation_id].append(line.purchase_line)
    return dict(found)


def days_kept(reservations: Iterable[int], today: date) -> dict[int, date]:
    """By reservation the day on which the last of its parts is here: today, or when it is counted on."""
    wanted = list(reservations)
    waits = awaited(wanted)
    days = lateness.expected_days([line for lines in waits.values() for line in lines], today)
    return {pk: max([today, *(days[line.pk] for line in waits.get(pk, []))]) for pk in wanted}


def date_kept(reservation: Reservation, today: date) -> date:
    """The same for one."""
    return days_kept([reservation.pk], today)[reservation.pk]


def turns(before: Order | None = None) -> list[Turn]:
    """Those orders that wait with nothing kept, as they were accepted: all, or those before one."""
    waiting = Order.objects.filter(state=Order.State.WAITING, reservation__isnull=True)
    if before is not None:
        earlier = Q(accepted_at__lt=before.accepted_at)
        waiting = waiting.filter(earlier | Q(accepted_at=before.accepted_at, pk__lt=before.pk))
    return turns_of(waiting.select_related("quote").order_by("accepted_at", "pk"))


def turns_of(orders: Iterable[Order]) -> list[Turn]:
    """What each of them wants, and for which day."""
    waiting, today = list(orders), timezone.localdate()
    wants = wants_by_quote(order.quote_id for order in waiting)
    return [Turn(wants[one.quote_id], parts_wanted_on(one.quote, today)) for one in waiting]


def promised(wants: Mapping[int, int], now: datetime, but: Reservation | None = None) -> Promise:
    """What can be told to somebody without an order: what can be kept as it is, else a turn after all."""
    found = promise(wants, now, but)
    waiting = [] if found.covered else turns()
    return promise(wants, now, but, waiting) if waiting else found


def date_promised(quote: Quote, wants: Mapping[int, int], now: datetime) -> date | None:
    """When all of an order's quote can go out that nothing is kept for, in its turn, shop works included.

    None if nobody can say.
    """
    on = promise(wants, now, after=turns(before=quote.order)).on
    return ships_on(quote, on) if on else None


def promise_in_words(what: str, wants: Mapping[int, int], now: datetime) -> tuple[date | None, str]:
    """When all parts could be here, and the sentence that tells the customer."""
    on = promised(wants, now).on
    if on is None:
        return None, (
            f"{what} cannot be kept: nobody offers what is missing, so no date can be promised. "
            "Swap the part, or ask buying for a supplier."
        )
    if on <= timezone.localdate(now):
        return on, f"{what} cannot be kept now, but could be today: try again."
    return on, f"{what} cannot be kept now; all of it can be here on {on:%-d %b %Y}."
