"""What quotes and orders want of the store room, and when they could have it. Reads only."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from datetime import date, datetime

from django.db.models import F, Sum
from django.utils import timezone

from inventory import lateness
from inventory.models import PurchaseLine, Reservation, ReservationLine
from inventory.promising import promise

from .bench_days import ships_on
from .models import Quote, QuoteLine


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


def date_promised(quote: Quote, wants: Mapping[int, int], now: datetime) -> date | None:
    """When all of it could go out if nothing is kept yet, shop works included; None if nobody can say."""
    on = promise(wants, now).on
    return ships_on(quote, on) if on else None


def promise_in_words(what: str, wants: Mapping[int, int], now: datetime) -> tuple[date | None, str]:
    """When all parts could be here, and the sentence that tells the customer."""
    on = promise(wants, now).on
    if on is None:
        return None, (
            f"{what} cannot be kept: nobody offers what is missing, so no date can be promised. "
            "Swap the part, or ask buying for a supplier."
        )
    if on <= timezone.localdate(now):
        return on, f"{what} cannot be kept now, but could be today: try again."
    return on, f"{what} cannot be kept now; all of it can be here on {on:%-d %b %Y}."
