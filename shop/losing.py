"""Act of the counter on quotes: the customer went without, and why; what was missing is demand."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from django.contrib.auth.models import User
from django.utils import timezone

from inventory import demand, reserving
from inventory.acting import ActError, act
from inventory.ledger import lock_stock
from inventory.models import Demand
from inventory.promising import Promise

from .bench_days import parts_wanted_on
from .kit_demand import asked_for
from .models import Quote
from .quoting import live_hold, locked_quote, refuse_unless_open
from .wants import promised, wants_of


@dataclass(frozen=True)
class Lost:
    """`missed` is what could not be had in time, as it was written down."""

    quote: Quote
    missed: tuple[Demand, ...] = ()


@act("shop.sell")
def lose(user: User, quote: Quote, why: str, note: str = "") -> Lost:
    """Close an open quote, valid still or not, that the customer did not take; its hold is let go.

    `why` is one of Quote.LostFor. Of one that was lost because it could not come in time, the parts that
    were missing are written down as demand. Orders that wait are looked at. Raises Conflict for a quote
    that is not open, ActError "unknown-reason", or "reason-needed" for another reason without a note.
    """
    from .ordering import review_waiting

    now = timezone.now()
    _check(why, note)
    quote = locked_quote(quote)
    refuse_unless_open(quote)
    held = live_hold(quote, now)
    missed: list[Demand] = []
    if why == Quote.LostFor.NOT_IN_TIME:
        wants = wants_of(quote)
        lock_stock(wants)
        missed = record_missed(quote, quote.number, promised(wants, now, held), now)
    if held:
        reserving.release(user, held)
    quote.state, quote.lost_why, quote.lost_note = Quote.State.LOST, why, note.strip()[:200]
    quote.save(update_fields=["state", "lost_why", "lost_note"])
    if held:
        review_waiting(now)
    return Lost(quote, tuple(missed))


def record_missed(quote: Quote, reference: str, told: Promise, now: datetime) -> list[Demand]:
    """Write down what of a quote, by what can be promised, is not here by the day that it is wanted.

    All that was wanted of such a part was missed, not only the pieces that are short: a kit goes out whole
    or not at all. Runs with the Stock rows locked.
    """
    today = timezone.localdate(now)
    by = parts_wanted_on(quote, today) or today
    missing = {line.part_id for line in told.lines if line.on is None or line.on > by}
    return demand.missed(asked_for(quote, reference, missing), today)


def missed_of(quote: Quote) -> list[Demand]:
    """What was written down as missed when it was lost."""
    missed = Demand.objects.filter(kind=Demand.Kind.LOST, reference__startswith=f"{quote.number}/")
    return list(missed.select_related("part__maker").order_by("pk"))


def _check(why: str, note: str) -> None:
    if why not in Quote.LostFor.values:
        raise ActError(
            f"'{why}' is no reason that is kept: say one of {', '.join(Quote.LostFor.values)}.",
            code="unknown-reason",
        )
    if why == Quote.LostFor.OTHER and not note.strip():
        raise ActError("Say in the note what it was lost over.", code="reason-needed")
