"""Count rounds: what to count in which order, what was found, and what becomes of a difference.

A count is blind: nobody is shown what should be there before the line is settled. Stock stays usable
meanwhile: what was found is compared with what the ledger said at the moment of the count.
"""

from collections.abc import Iterable, Sequence
from datetime import datetime

from django.contrib.auth.models import User
from django.db import transaction
from django.db.models import Max, Q
from django.utils import timezone

from .acting import ActError, Conflict, act
from .corrections import OPEN_STATES, UNSETTLED_STATES, Thing, ask, needs_approval, none_waits, post, settle
from .due_counts import ASKED_BY_FLOOR, due_things
from .keeping import lock_current
from .models import Balance, CountLine, CountRound, Lot, Part, Place
from .recounting import check_count, enough, enter, first_to_find
from .routing import Spot, walk_order

MOST_LINES = 20


@act("inventory.count")
def make_round(
    user: User, why: str, *, places: Sequence[Place] = (), parts: Sequence[Part] = ()
) -> CountRound:
    """Count all that lies in these places, and these parts wherever they lie, in walking order.

    A bin that is a part's home is counted for it though nothing is booked there. What is on an open
    round already, or has a correction waiting, is left out. Raises ActError "reason-needed", and
    "nothing-to-count" when nothing is left.
    """
    if not why.strip():
        raise ActError("Say why it is counted: it stands at the head of the round.", code="reason-needed")
    things = [(thing, "") for thing in _lying(places, parts)]
    return _round(user, why, things)


@act("inventory.count")
def make_due_round(user: User, most: int = MOST_LINES) -> CountRound:
    """Count the `most` urgent things that are due today, in walking order, each with its reason.

    Raises ActError "bad-quantity", and "nothing-to-count" when nothing is due.
    """
    if most < 1:
        raise ActError(f"A round has at least one line, not {most}.", code="bad-quantity")
    return _round(user, "due for a count", due_things(timezone.now(), most))


def _lying(places: Sequence[Place], parts: Sequence[Part]) -> list[Thing]:
    lying = Balance.objects.filter(
        Q(place__in=places) | Q(part__in=parts), quantity__gt=0, place__kind__in=Place.INSIDE
    ).select_related("part__maker", "place", "lot")
    things = [Thing(one.part, one.place, one.lot) for one in lying.order_by("part_id", "lot_id", "id")]
    booked = {(thing.part.pk, thing.place.pk) for thing in things}
    at_home = Part.objects.filter(Q(home__in=places) | Q(pk__in=[part.pk for part in parts]))
    homes = at_home.filter(home__kind=Place.Kind.BIN).select_related("maker", "home").order_by("pk")
    things += [
        Thing(part, part.home) for part in homes if part.home and (part.pk, part.home.pk) not in booked
    ]
    unsettled = CountLine.objects.filter(
        state__in=UNSETTLED_STATES, part__in={thing.part.pk for thing in things}
    )
    taken = set(unsettled.values_list("part_id", "place_id", "lot_id"))
    return [one for one in things if (one.part.pk, one.place.pk, one.lot and one.lot.pk) not in taken]


def _round(user: User, why: str, things: Sequence[tuple[Thing, str]]) -> CountRound:
    if not things:
        raise ActError(
            "Nothing is left to count: nothing lies there or is due, or it is on an open round already.",
            code="nothing-to-count",
        )
    round_ = CountRound.objects.create(why=why.strip()[:200], made_by=user)
    CountLine.objects.bulk_create(
        [
            CountLine(
                round=round_,
                sequence=sequence,
                place=thing.place,
                part=thing.part,
                lot=thing.lot,
                why=reason[:200],
            )
            for sequence, (thing, reason) in enumerate(_walked(things), start=1)
        ]
    )
    return round_


def _walked(things: Sequence[tuple[Thing, str]]) -> Iterable[tuple[Thing, str]]:
    """Bins in walking order, then docks and benches by their codes."""
    spots, others = [], []
    for nth, (thing, reason) in enumerate(things):
        place = thing.place
        if place.aisle is None or place.bay is None or place.level is None:
            others.append((thing, reason))
        else:
            spots.append(Spot(place.hall, place.aisle, place.bay, place.level, nth))
    yield from (things[spot.key] for spot in walk_order(spots))
    yield from sorted(others, key=lambda one: (one[0].place.code, one[0].part.pk))


@act("inventory.count")
def enter_count(user: User, line: CountLine, found: int, counted_at: datetime | None = None) -> CountLine:
    """Write down how many were found at `counted_at` (now, if not said); the line comes back with its state.

    Compared is with what the ledger said at that moment, so what was picked or put there since makes no
    difference. A count that the ledger agrees with settles the line, and so does a difference that is
    small (see `recounting.enough` for the whole rule). Any other is counted again by somebody else, until
    two people find the same difference. That is then posted, or waits for approval: when it is worth more
    than SHOP_CORRECTION_LIMIT, when the missing pieces are kept for somebody, or when a serial number is
    booked elsewhere. It is asked for by whoever found it first, so that the second of two counters may
    approve it, and no one person can do it all.

    Raises Conflict when the line is settled, a correction waits there, or the ledger was corrected after
    the count; ActError "bad-quantity", "bad-time" and "lot-needed"; NotAllowed "somebody-else-counts".
    """
    now = timezone.now()
    at = counted_at or now
    stock = lock_current([line.part_id], now)[line.part_id]
    line = _open(line)
    thing = Thing(line.part, line.place, line.lot)
    none_waits(thing)
    check_count(user, line, found, at, now)
    entry = enter(user, line, found, at)
    if not entry.difference:
        settle(line, CountLine.State.AGREES, now)
    elif not enough(stock, line, entry):
        settle(line, CountLine.State.AGAIN, now)
    else:
        finder = first_to_find(line, entry)
        correction = ask(finder, stock, thing, entry.difference, _reason(line), line)
        if not needs_approval(correction):
            try:
                with transaction.atomic():
                    post(correction, user, now)
            except ActError:
                pass  # Kept, or booked elsewhere: the count is not lost, and whoever approves sees why.
        posted = correction.state == correction.State.POSTED
        settle(line, CountLine.State.CORRECTED if posted else CountLine.State.TO_APPROVE, now)
    return line


@act("inventory.count")
def leave_line(user: User, line: CountLine, reason: str) -> CountLine:
    """Leave a line uncounted, and the ledger as it is: the bin cannot be reached, the part is in use."""
    if not reason.strip():
        raise ActError("Say why it is not counted: somebody will have to.", code="reason-needed")
    now = timezone.now()
    lock_current([line.part_id], now)
    line = _open(line)
    settle(line, CountLine.State.LEFT, now, f"left by {user.get_username()}: {reason.strip()}")
    return line


def note_short(part: Part, place: Place, lot: Lot | None, by: User, why: str) -> CountLine:
    """Somebody found too few there: put it into the open round that the floor asked for, made if need be.

    What waits to be counted or approved already is not put there again. Runs inside an act that has
    locked the part's Stock row.
    """
    lines = CountLine.objects.filter(part=part, place=place, lot=lot)
    there = lines.filter(state__in=UNSETTLED_STATES).first()
    if there is not None:
        return there
    open_rounds = CountRound.objects.select_for_update().filter(
        state=CountRound.State.OPEN, why=ASKED_BY_FLOOR
    )
    round_ = open_rounds.exclude(pk__in=lines.values("round_id")).order_by("pk").first()
    if round_ is None:
        round_ = CountRound.objects.create(why=ASKED_BY_FLOOR, made_by=by)
    last = round_.lines.aggregate(last=Max("sequence"))["last"] or 0
    return round_.lines.create(sequence=last + 1, place=place, part=part, lot=lot, why=why.strip()[:200])


def _open(line: CountLine) -> CountLine:
    """The line as it is now, under the lock of its part. Raises Conflict when there is nothing to count."""
    current = CountLine.objects.select_related("part__maker", "place", "lot", "round").get(pk=line.pk)
    if current.state not in OPEN_STATES:
        raise Conflict(
            f"Line {current.sequence} of {current.round} is not open: {current.get_state_display()}."
        )
    return current


def _reason(line: CountLine) -> str:
    return f"{line.round.why}: {line.why}" if line.why else line.round.why
