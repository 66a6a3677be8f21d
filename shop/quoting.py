"""Acts of the counter on quotes: quote, hold the parts for a while, withdraw.

A quote is a picture of the day it was made: prices, verdicts and instructions are copied into it, and
nothing that happens to a part or a template later reaches it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime, timedelta

from django.conf import settings
from django.contrib.auth.models import User
from django.utils import timezone

from inventory import reserving
from inventory.acting import ActError, Conflict, act
from inventory.models import Reservation
from kits.expanding import Expansion, expand
from kits.fit import Verdict
from kits.models import CustomKit

from . import money
from .models import Customer, Quote, QuoteKit, QuoteLine
from .picturing import lines_of, record_of
from .wants import promise_in_words, wants_of

MOST_DAYS = 365
MOST_OF_A_KIND = 1000


@act("shop.sell")
def quote(
    user: User,
    customer: Customer,
    kits: Sequence[tuple[CustomKit, int]],
    *,
    channel: str = "phone",
    days: int | None = None,
) -> Quote:
    """Offer so many of each kit, for so many days. A kit that does not go is refused with its reasons.

    A kit that has to be measured first is quoted, with that caution in its record and on its papers.
    """
    now = timezone.now()
    days = settings.SHOP_QUOTE_DAYS if days is None else days
    _check_terms(kits, channel, days)
    offered = [(kit, quantity, expand(kit)) for kit, quantity in _locked(kits)]
    for kit, _, expansion in offered:
        _refuse_what_does_not_go(kit, expansion)
    percent = settings.SHOP_TAX_PERCENT
    sums = money.total(
        (money.line_net(quantity, expansion.price), percent) for _, quantity, expansion in offered
    )
    made = Quote.objects.create(
        customer=customer,
        channel=channel,
        made_by=user,
        valid_until=now + timedelta(days=days),
        currency=settings.SHOP_CURRENCY,
        tax_percent=percent,
        net=sums.net,
        tax=sums.tax,
        gross=sums.gross,
    )
    for kit, quantity, expansion in offered:
        _write_down(made, kit, quantity, expansion)
    return made


@act("shop.sell")
def hold(user: User, quote: Quote, *, hours: int | None = None) -> Quote:
    """Keep every part of the quote for so many hours, at the longest until the quote itself ends.

    Whole or not at all: `reserving.Short` says what is short, and when all of it could go out.
    """
    now = timezone.now()
    hours = settings.SHOP_HOLD_HOURS if hours is None else hours
    if hours < 1:
        raise ActError("A hold lasts at least one hour: give the hours as 1 or more.", code="bad-hours")
    quote = locked_open(quote, now)
    if live_hold(quote, now):
        assert quote.reservation is not None and quote.reservation.until is not None
        raise Conflict(
            f"{quote} is already held until {in_words(quote.reservation.until)}. "
            "Accept it, or withdraw it to let the parts go.",
            code="already-held",
            until=quote.reservation.until.isoformat(),
        )
    wants = wants_of(quote)
    until = min(now + timedelta(hours=hours), quote.valid_until)
    try:
        quote.reservation = reserving.hold(user, wants, until=until, reference=quote.number)
    except reserving.Short as short:
        raise _short_in_words(quote, wants, short, now) from short
    quote.save(update_fields=["reservation"])
    return quote


@act("shop.sell")
def withdraw(user: User, quote: Quote) -> Quote:
    """Take an open quote back; what was held for it is free again, and orders that wait are looked at."""
    from .ordering import review_waiting

    now = timezone.now()
    quote = _locked_quote(quote)
    _refuse_unless_open(quote)
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
    quote = _locked_quote(quote)
    _refuse_unless_open(quote)
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


def in_words(moment: datetime) -> str:
    """A moment as the shop's own clock shows it."""
    return f"{timezone.localtime(moment):%-d %b %Y %H:%M}"


def _locked_quote(quote: Quote) -> Quote:
    return Quote.objects.select_for_update(of=("self",)).select_related("reservation").get(pk=quote.pk)


def _refuse_unless_open(quote: Quote) -> None:
    if quote.state == Quote.State.ACCEPTED:
        raise Conflict(
            f"{quote} was accepted already: it is order {quote.order}. Work on the order.",
            code="already-accepted",
            order=quote.order.number,
        )
    if quote.state == Quote.State.WITHDRAWN:
        raise Conflict(f"{quote} was withdrawn. Quote the kits again.", code="withdrawn")


def _check_terms(kits: Sequence[tuple[CustomKit, int]], channel: str, days: int) -> None:
    if not kits:
        raise ActError("There is no kit to quote: open one first.", code="nothing-to-quote")
    for kit, quantity in kits:
        if not 1 <= quantity <= MOST_OF_A_KIND:
            raise ActError(
                f"{quantity} of {kit} cannot be quoted: give a quantity from 1 to {MOST_OF_A_KIND}.",
                code="bad-quantity",
            )
    if channel not in Quote.Channel.values:
        raise ActError(
            f"'{channel}' is no way that a quote comes about: use one of {', '.join(Quote.Channel.values)}.",
            code="unknown-channel",
        )
    if not 1 <= days <= MOST_DAYS:
        raise ActError(
            f"A quote cannot be valid for {days} days: give 1 to {MOST_DAYS}.", code="bad-validity"
        )


def _locked(kits: Sequence[tuple[CustomKit, int]]) -> Iterable[tuple[CustomKit, int]]:
    """The kits as they are now; locked, so that nobody swaps a part between the verdict and the price."""
    wanted = [kit.pk for kit, _ in kits]
    now: Mapping[int, CustomKit] = {
        kit.pk: kit
        for kit in CustomKit.objects.select_for_update(of=("self",))
        .select_related("revision__template", "engine__family")
        .filter(pk__in=wanted)
        .order_by("pk")
    }
    return [(now[kit.pk], quantity) for kit, quantity in kits]


def _refuse_what_does_not_go(kit: CustomKit, expansion: Expansion) -> None:
    if expansion.judgement.verdict is Verdict.DOES_NOT_GO:
        reasons = expansion.judgement.reasons
        raise ActError(
            f"{kit} does not go together and cannot be quoted. Swap a part, or offer another kit. "
            + " ".join(reasons),
            code="does-not-go",
            kit=kit.number,
            reasons=reasons,
        )
    if not expansion.lines:
        raise ActError(
            f"{kit} holds no part of the shop's: put one into a slot first.", code="nothing-to-quote"
        )


def _write_down(quote: Quote, kit: CustomKit, quantity: int, expansion: Expansion) -> None:
    quoted = QuoteKit.objects.create(
        quote=quote,
        kit=kit,
        revision=kit.revision,
        title=f"{kit.revision.template.name} for {kit.engine}"[:200],
        quantity=quantity,
        standard_price=money.to_cent(expansion.standard_price),
        price=money.to_cent(expansion.price),
        verdict=expansion.judgement.verdict.value,
        record=record_of(kit, expansion),
    )
    QuoteLine.objects.bulk_create(lines_of(quoted, expansion))


def _short_in_words(
    quote: Quote, wants: Mapping[int, int], short: reserving.Short, now: datetime
) -> reserving.Short:
    """The same refusal, with a sentence that the counter can say to the customer."""
    on, sentence = promise_in_words(f"{quote} for {quote.customer}", wants, now)
    return reserving.Short(
        f"{sentence} {short.message}", **{**short.details, "on": on.isoformat() if on else None}
    )
