"""The days on which the shop's bench works, and when the works of a quote are done."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from django.conf import settings

from inventory.planning import WorkDays

from .models import Quote, QuoteKit

MINUTES_A_DAY = 480
DAY = timedelta(days=1)


@dataclass(frozen=True)
class Bench(WorkDays):
    """Bench time by weekday. Work begins on the day after the last part is here, none takes no time."""

    def done(self, start: date, minutes: int) -> date:
        """The day on which work of `minutes` is done whose last part is here on `start`."""
        return super().done(start + DAY, minutes) if minutes else start


def bench() -> Bench:
    """A bench day has eight hours, on the weekdays of SHOP_WORK_DAYS."""
    return Bench([MINUTES_A_DAY if weekday in settings.SHOP_WORK_DAYS else 0 for weekday in range(7)])


def minutes_of(quote: Quote) -> int:
    """The works of all its kits, done one after the other; one that takes no time takes a minute."""
    return sum(kit_minutes(kit) * kit.quantity for kit in QuoteKit.objects.filter(quote=quote))


def kit_minutes(kit: QuoteKit) -> int:
    """The works of one kit of it."""
    return sum(max(1, work["minutes"]) for work in kit.record["works"])


def ships_on(quote: Quote, parts_on: date) -> date:
    """When it goes out whose last part is here on `parts_on`: works done, and not before it is wanted."""
    done = bench().done(parts_on, minutes_of(quote))
    return done if quote.wanted_on is None else max(done, quote.wanted_on)


def parts_wanted_on(quote: Quote, today: date) -> date | None:
    """The last day on which its parts can come for it to be done when it is wanted; None for at once."""
    if quote.wanted_on is None:
        return None
    minutes, day = minutes_of(quote), quote.wanted_on
    while day > today and bench().done(day, minutes) > quote.wanted_on:
        day -= DAY
    return day if day > today else None
