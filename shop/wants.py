"""What quotes and orders want of the store room, and when they could have it. Reads only."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date, datetime, timedelta

from django.db.models import F, Sum
from django.utils import timezone

from inventory.models import Reservation
from inventory.promising import promise

from .models import Quote, QuoteKit, QuoteLine

MINUTES_A_DAY = 480


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


def work_days(quote: Quote) -> int:
    """Days that the shop works of the quote add to its date: whole days of eight hours, none for none.

    The works are done one after the other, once the parts are there.
    """
    minutes: int = sum(
        max(1, work["minutes"]) * kit.quantity
        for kit in QuoteKit.objects.filter(quote=quote)
        for work in kit.record["works"]
    )
    return -(-minutes // MINUTES_A_DAY)


def date_kept(reservation: Reservation, today: date) -> date:
    """When the last part that the reservation keeps is here: today, or when its delivery is due.

    An overdue delivery is not expected before tomorrow, as in a promise.
    """
    due = reservation.lines.filter(purchase_line__isnull=False).values_list("purchase_line__due", flat=True)
    tomorrow = today + timedelta(days=1)
    return max([today, *(day if day and day >= today else tomorrow for day in due)])


def date_promised(quote: Quote, wants: Mapping[int, int], now: datetime) -> date | None:
    """When all of it could go out if nothing is kept yet, shop works included; None if nobody can say."""
    on = promise(wants, now).on
    return on + timedelta(days=work_days(quote)) if on else None


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
