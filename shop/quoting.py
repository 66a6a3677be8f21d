"""Acts of the counter on quotes: quote, hold the parts for a while or for longer, withdraw.

A quote is a picture of the day it was made: prices, verdicts and instructions are copied into it, and
nothing that happens to a part or a template later reaches it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, datetime, timedelta

from django.conf import settings
from django.contrib.auth.models import User
from django.utils import timezone

from inventory import reserving
from inventory.acting import ActError, Conflict, act
from inventory.models import Reservation
from kits.models import CustomKit

from .bench_days import parts_wanted_on
from .models import Customer, Quote
from .offering import as_now, check_terms, in_words, new_quote, write_down
from .wants import promise_in_words, wants_of


@act("shop.sell")
def quote(
    user: User,
    customer: Customer,
    kits: Sequence[tuple[CustomKit, int]],
    *,
    channel: str = "phone",
    days: int | None = None,
    wanted_on: date | None = None,
) -> Quote:
    """Offer so many of each kit, for so many days. A kit that does not go is refused with its reasons.

    A kit that has to be measured first is quoted, with that caution in its record and on its papers.
    `wanted_on`: the customer does not want it before that day; what is kept for it may come as late.
    """
    now = timezone.now()
    days = settings.SHOP_QUOTE_DAYS if days is None else days
    check_terms(kits, channel, days, wanted_on, timezone.localdate(now))
    offered = as_now(kits)
    made = new_quote(
        user,
        customer,
        [(quantity, expansion) for _, quantity, expansion in offered],
        channel=channel,
        valid_until=now + timedelta(days=days),
        wanted_on=wanted_on,
    )
    for kit, quantity, expansion in offered:
        write_down(made, kit, quantity, expansion)
    return made


@act("shop.sell")
def hold(user: User, quote: Quote, *, hours: int | None = None) -> Quote:
    """Keep every part of the quote for so many hours, at the longest until the quote itself ends.

    Whole or not at all: `reserving.Short` says what is short, and when all of it could go out.
    """
    now = timezone.now()
    quote = locked_open(quote, now)
    until = _until(quote, settings.SHOP_HOLD_HOURS if hours is None else hours, now)
    if live_hold(quote, now):
        assert quote.reservation is not None and quote.reservation.until is not None
        raise Conflict(
            f"{quote} is already held until {in_words(quote.reservation.until)}. "
            "Accept it, hold it longer, or withdraw it to let the parts go.",
            code="already-held",
            until=quote.reservation.until.isoformat(),
        )
    wants = wants_of(quote)
    wanted_on = parts_wanted_on(quote, timezone.localdate(now))
    try:
        quote.reservation = reserving.hold(
            user, wants, until=until, reference=quote.number, wanted_on=wanted_on
        )
    except reserving.Short as short:
        raise _short_in_words(quote, wants, short, now) from short
    quote.save(update_fields=["reservation"])
    return quote


@act("shop.sell")
def prolong(user: User, quote: Quote, *, hours: int) -> Quote:
    """Let the hold end so many hours from now, later or sooner; at the longest when the quote ends."""
    now = timezone.now()
    quote = locked_open(quote, now)
    until = _until(quote, hours, now)
    held = live_hold(quote, now)
    if held is None:
        raise Conflict(f"{quote} is not held (any more): hold it anew.", code="not-held")
    reserving.prolong(user, held, until=until)
    quote.refresh_from_db()
    return quote


@act("shop.sell")
def withdraw(user: User, quote: Quote) -> Quote:
    """Take an open quote back; what was held for it is free again, and orders that wait are looked at."""
    from .ordering import review_waiting

    now = timezone.now()
    quote = locked_quote(quote)
    refuse_unless_open(quote)
    held = live_hold(quote, now)
    if held:
        reserving.release(user, held)
    quote.state = Quote.State.WITHDRAWN
    quote.save(update_fields=["state"])
    if held:
        review_waiting(now)
    return quote


def locked_open(quote: Quote, now: datetime) -> Quote:
    """The quote as it is now, locked, if it can still be held or accepted; else the reason why not."""
    quote = locked_quote(quote)
    refuse_unless_open(quote)
    if quote.valid_until <= now:
        raise ActError(
            f"{quote} was valid until {in_words(quote.valid_until)}. "
            "Quote the kits again: prices and dates may have changed.",
            code="quote-lapsed",
            valid_until=quote.valid_until.isoformat(),
        )
    return quote


def live_hold(quote: Quote, now: datetime) -> Reservation | None:
    """The quote's hold, unless there is none or the clock has ended it, swept up already or not."""
    held = quote.reservation
    if held is None or held.kind != Reservation.Kind.HOLD or held.state != Reservation.State.KEPT:
        return None
    return held if held.until is not None and held.until > now else None


def _until(quote: Quote, hours: int, now: datetime) -> datetime:
    if hours < 1:
        raise ActError("A hold lasts at least one hour: give the hours as 1 or more.", code="bad-hours")
    return min(now + timedelta(hours=hours), quote.valid_until)


def locked_quote(quote: Quote) -> Quote:
    """The quote as it is now, locked."""
    return Quote.objects.select_for_update(of=("self",)).select_related("reservation").get(pk=quote.pk)


def refuse_unless_open(quote: Quote) -> None:
    """Conflict for a quote that has come to an end, and what to work on instead."""
    if quote.state == Quote.State.ACCEPTED:
        raise Conflict(
            f"{quote} was accepted already: it is order {quote.order}. Work on the order.",
            code="already-accepted",
            order=quote.order.number,
        )
    if quote.state == Quote.State.REPLACED:
        raise Conflict(
            f"{quote} was replaced by {quote.replaced_by}: work on that.",
            code="replaced",
            quote=quote.replaced_by.number,
        )
    if quote.state == Quote.State.WITHDRAWN:
        raise Conflict(f"{quote} was withdrawn. Quote the kits again.", code="withdrawn")
    if quote.state == Quote.State.LOST:
        raise Conflict(f"{quote} was lost: {quote.lost_why}. Quote the kits again.", code="lost")


def _short_in_words(
    quote: Quote, wants: Mapping[int, int], short: reserving.Short, now: datetime
) -> reserving.Short:
    """The same refusal, with a sentence that the counter can say to the customer."""
    on, sentence = promise_in_words(f"{quote} for {quote.customer}", wants, now)
    return reserving.Short(
        f"{sentence} {short.message}", **{**short.details, "on": on.isoformat() if on else None}
    )
