"""Corrections of the ledger: asked for with a reason, posted as movements, or waiting for a second person.

Plain functions under the acts of `counting` and `rounds`; they run with the Stock row of the part locked,
which guards the part's corrections and count lines as well. For one thing (a part, or a lot of it, in one
place) at most one correction waits at a time, so that one loss is never booked twice.
"""

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from django.conf import settings
from django.contrib.auth.models import User

from .acting import ActError, Conflict
from .alerting import availability_changed
from .costing import at_average, rounded
from .ledger import move, must_not_be_here, outside
from .models import Balance, Correction, CountLine, CountRound, Lot, Movement, Part, Place, Stock
from .worth import must_be_money

OPEN_STATES = (CountLine.State.TO_COUNT, CountLine.State.AGAIN)
UNSETTLED_STATES = (*OPEN_STATES, CountLine.State.TO_APPROVE)


@dataclass(frozen=True)
class Thing:
    """What is counted and corrected: a part, or one lot of it, in one place."""

    part: Part
    place: Place
    lot: Lot | None = None

    def __str__(self) -> str:
        lot = f", lot {self.lot}" if self.lot else ""
        return f"{self.part}{lot} in {self.place}"


def booked(thing: Thing) -> int:
    """How many the ledger says lie there now."""
    balance = Balance.objects.filter(part=thing.part, place=thing.place, lot=thing.lot).first()
    return balance.quantity if balance else 0


def check_asked(place: Place, reason: str) -> None:
    """Refuse a place that is not in the shop, and a correction that nobody will understand later."""
    if not place.is_inside:
        raise ActError(f"{place} is not a place in the shop.", code="not-a-place-here")
    if not reason.strip():
        raise ActError("Say why: whoever reads the ledger will ask.", code="reason-needed")


def none_waits(thing: Thing) -> None:
    """Raises Conflict "correction-waits": what it would change is not known before it is decided."""
    waiting = Correction.objects.filter(
        part=thing.part, place=thing.place, lot=thing.lot, state=Correction.State.ASKED
    ).first()
    if waiting is not None:
        raise Conflict(
            f"A correction of {thing} waits for approval. Have it approved or refused first.",
            code="correction-waits",
            correction=waiting.pk,
        )


def worth(stock: Stock, thing: Thing, quantity: int) -> Decimal:
    """What so many pieces are worth: at the lot's or the part's average cost, else at the part's price."""
    lot = thing.lot
    if lot is not None and lot.on_hand and lot.value:
        return at_average(lot.value, lot.on_hand, quantity)
    if stock.on_hand and stock.value:
        return at_average(stock.value, stock.on_hand, quantity)
    return rounded(thing.part.price * quantity)


def ask(
    user: User, stock: Stock, thing: Thing, change: int, reason: str, line: CountLine | None = None
) -> Correction:
    """Write down a correction; nothing is posted yet. Raises ActError for what never could be.

    What a count found waits until a serial number that is booked elsewhere was corrected there.
    """
    _check_lot(thing, change)
    if line is None and thing.lot is not None and change > 0:
        must_not_be_here(thing.part, thing.lot)
    value = worth(stock, thing, abs(change))
    must_be_money(thing.part, value)
    return Correction.objects.create(
        part=thing.part,
        place=thing.place,
        lot=thing.lot,
        change=change,
        value=value,
        reason=reason.strip()[:200],
        asked_by=user,
        count_line=line,
    )


def _check_lot(thing: Thing, change: int) -> None:
    """Refuse now what the ledger would refuse after the approval: tracked pieces come in by lot or serial."""
    tracking = thing.part.tracking
    if thing.lot is None and change > 0 and tracking != Part.Tracking.NONE:
        raise ActError(
            f"{thing.part} is tracked {thing.part.get_tracking_display()}: say which one is there.",
            code="lot-needed",
        )
    if thing.lot is not None and tracking == Part.Tracking.SERIAL and abs(change) > 1:
        raise ActError(
            f"Serial number {thing.lot} is one piece of {thing.part}, not {abs(change)}.", code="bad-quantity"
        )


def needs_approval(correction: Correction) -> bool:
    """More than the shop lets one person change, whether the pieces were lost or found."""
    return bool(correction.value > settings.SHOP_CORRECTION_LIMIT)


def post(correction: Correction, by: User, at: datetime) -> None:
    """Write its movement: as a count difference if a count round found it, else as an adjustment.

    Raises Conflict, and leaves the correction as it was, when what is missing is kept for somebody.
    """
    line = correction.count_line
    origin, destination = outside(Place.Kind.COUNT), correction.place
    if correction.change < 0:
        origin, destination = destination, origin
    correction.movement = move(
        act=Movement.Act.ADJUST if line is None else Movement.Act.COUNT,
        part=correction.part,
        lot=correction.lot,
        quantity=abs(correction.change),
        origin=origin,
        destination=destination,
        by=by,
        at=at,
        reference="" if line is None else line.round.number,
        reason=correction.reason,
    )
    decide(correction, Correction.State.POSTED, by, at)
    availability_changed([correction.part_id])


def decide(correction: Correction, state: Correction.State, by: User, at: datetime) -> None:
    correction.state, correction.decided_by, correction.decided_at = state, by, at
    correction.save(update_fields=["state", "decided_by", "decided_at", "movement"])


def settle(line: CountLine, state: CountLine.State, at: datetime, why: str = "") -> None:
    """Give a count line its state; its round is done with the last line that is settled.

    The round's row is locked, or two counters at its last two lines would each leave it to the other.
    """
    line.state = state
    if why:
        line.why = why[:200]
    line.save(update_fields=["state", "why"])
    if state in UNSETTLED_STATES:
        return
    round_ = CountRound.objects.select_for_update().get(pk=line.round_id)
    if not round_.lines.filter(state__in=UNSETTLED_STATES).exists():
        round_.state, round_.done_at = CountRound.State.DONE, at
        round_.save(update_fields=["state", "done_at"])
    line.round = round_
