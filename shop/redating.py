"""The day on which an order is expected as things stand, beside the one that its customer was told."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from contextlib import contextmanager
from datetime import date, datetime, timedelta

from django.utils import timezone

from inventory.models import Reservation

from .bench_days import ships_on
from .models import Notice, Order, Quote
from .noticing import notice
from .wants import days_kept


def tell(order: Order, on: date | None) -> None:
    """Write down the day that the customer is told as the order is taken."""
    order.promised_on = order.expected_on = on
    order.save(update_fields=["expected_on", "promised_on"])


def expect(order: Order, on: date | None, now: datetime, why: str = "") -> None:
    """Write down the day on which the order is expected now; of any change the counter hears.

    What the customer was told stays, unless that was no day. `why` is a sentence for the counter. Runs in
    the caller's transaction, on a locked order.
    """
    told = order.promised_on
    before = order.expected_on or told
    if on == order.expected_on:
        return
    order.expected_on, order.promised_on = on, told or on
    order.save(update_fields=["expected_on", "promised_on"])
    if on != before:
        notice(Notice.Kind.DATE_MOVED, order, _moved(str(order), order, before, on, told, why), now)


def _moved(
    number: str, about: Order | Quote, before: date | None, on: date | None, told: date | None, why: str
) -> str:
    expected = f"now expected {_day(on)}" if on else "nobody can say when any more"
    if isinstance(about, Quote):
        known = f"before {_day(before)}" if before else ""
    elif told is None:
        known = "no day was told"
    else:
        known = f"as told {_day(told)}" if told == on else f"told {_day(told)}"
    said = ", ".join(part for part in (expected, known) if part)
    return " ".join(part for part in (f"{number} for {about.customer}: {said}.", why) if part)


def _day(day: date | None) -> str:
    return f"{day:%-d %b}" if day else "no day"


@contextmanager
def holds_told(part_ids: Collection[int], now: datetime, why: str = "", *, since: int = 0) -> Iterator[None]:
    """Tell the counter of open quotes whose held parts come on another day once this is through.

    The day before counts from so many days ago: a delivery that is overdue moves as time goes by.
    """
    parts = set(part_ids)
    today = timezone.localdate(now)
    quotes = {quote.reservation_id: quote for quote in _held(parts, now)}
    before = days_kept([pk for pk in quotes if pk], today - timedelta(days=since))
    yield
    after = days_kept(before, today)
    for pk, quote in quotes.items():
        if pk and after[pk] != before[pk]:
            was, on = ships_on(quote, before[pk]), ships_on(quote, after[pk])
            if was != on:
                notice(Notice.Kind.DATE_MOVED, quote, _moved(str(quote), quote, was, on, None, why), now)


def _held(part_ids: Collection[int], now: datetime) -> list[Quote]:
    """The open quotes that hold some of these parts from what is to come, locked.

    Two deliveries of one quote may move at once, and each is to tell of the day that comes of both.
    """
    held = Quote.objects.filter(
        state=Quote.State.OPEN,
        reservation__kind=Reservation.Kind.HOLD,
        reservation__state=Reservation.State.KEPT,
        reservation__until__gt=now,
        reservation__lines__part__in=list(part_ids),
        reservation__lines__purchase_line__isnull=False,
    )
    quotes = Quote.objects.select_for_update(of=("self",)).filter(pk__in=held.order_by().values("pk"))
    return list(quotes.select_related("customer").order_by("pk"))
