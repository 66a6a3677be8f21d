"""Putting the ledger right: another number in a place, pieces more or fewer, and pieces thrown away.

Each correction has a reason. One that is worth more than SHOP_CORRECTION_LIMIT, whether pieces were lost
or found, changes nothing until a second person approves it.
"""

from django.contrib.auth.models import User
from django.utils import timezone

from .acting import ActError, Conflict, NotAllowed, act
from .alerting import availability_changed
from .corrections import Thing, ask, booked, check_asked, decide, needs_approval, none_waits, post, settle
from .keeping import lock_current
from .ledger import move, outside
from .models import Correction, CountLine, Lot, Movement, Part, Place


@act("inventory.correct_stock")
def correct(
    user: User, part: Part, place: Place, found: int, reason: str, lot: Lot | None = None
) -> Correction | None:
    """Say how many lie in a place, outside of any count round. None when the ledger says so already.

    The correction is posted, or waits for approval (its `state`). Raises Conflict when what is missing
    is held, committed or allotted to a walk, or when another correction waits there.
    """
    check_asked(place, reason)
    if found < 0:
        raise ActError(f"A count finds none or some, not {found}.", code="bad-quantity")
    lock_current([part.pk], timezone.now())
    change = found - booked(Thing(part, place, lot))
    return _change(user, Thing(part, place, lot), change, reason) if change else None


@act("inventory.correct_stock")
def adjust(
    user: User, part: Part, place: Place, change: int, reason: str, lot: Lot | None = None
) -> Correction:
    """Pieces more in a place, or fewer if `change` is below 0; posted, or waiting for approval.

    Raises as `correct` does, and ActError "nothing-moved" for a change of nothing.
    """
    check_asked(place, reason)
    if not change:
        raise ActError("A correction changes something: give pieces more or fewer.", code="nothing-moved")
    return _change(user, Thing(part, place, lot), change, reason)


def _change(user: User, thing: Thing, change: int, reason: str) -> Correction:
    now = timezone.now()
    stock = lock_current([thing.part.pk], now)[thing.part.pk]
    none_waits(thing)
    correction = ask(user, stock, thing, change, reason)
    if not needs_approval(correction):
        post(correction, user, now)
    return correction


@act("inventory.correct_stock")
def scrap(
    user: User, part: Part, place: Place, quantity: int, reason: str, lot: Lot | None = None
) -> Movement:
    """Throw pieces away. Raises Conflict when they are held, committed, allotted, or not there."""
    check_asked(place, reason)
    now = timezone.now()
    lock_current([part.pk], now)
    availability_changed([part.pk])
    return move(
        act=Movement.Act.SCRAP,
        part=part,
        lot=lot,
        quantity=quantity,
        origin=place,
        destination=outside(Place.Kind.SCRAP),
        by=user,
        at=now,
        reason=reason.strip()[:200],
    )


@act("inventory.approve_corrections")
def approve(user: User, correction: Correction) -> Correction:
    """Post a correction that waits; never by the one who asked for it (NotAllowed "own-correction").

    Raises Conflict when it is decided already, and when what is missing is held, committed or allotted:
    it waits on until that is released.
    """
    now = timezone.now()
    current = _waiting(correction)
    if current.asked_by_id == user.pk:
        raise NotAllowed(
            f"{user.get_username()} asked for this correction: somebody else has to approve it.",
            code="own-correction",
        )
    post(current, user, now)
    if current.count_line is not None:
        settle(current.count_line, CountLine.State.CORRECTED, now)
    return current


@act("inventory.approve_corrections")
def refuse(user: User, correction: Correction, reason: str) -> Correction:
    """Let the ledger stand as it is. Raises Conflict when the correction is decided already."""
    if not reason.strip():
        raise ActError("Say why: whoever counted will ask.", code="reason-needed")
    now = timezone.now()
    current = _waiting(correction)
    decide(current, Correction.State.REFUSED, user, now)
    if current.count_line is not None:
        settle(current.count_line, CountLine.State.LEFT, now, f"refused: {reason.strip()}")
    return current


def _waiting(correction: Correction) -> Correction:
    """The correction as it is now, under the lock of its part."""
    lock_current([correction.part_id], timezone.now())
    current = Correction.objects.select_related(
        "part__maker", "place", "lot", "asked_by", "count_line__round"
    ).get(pk=correction.pk)
    if current.state != Correction.State.ASKED:
        raise Conflict(
            f"This correction is {current.get_state_display()} already, by {current.decided_by}.",
            correction=current.pk,
        )
    return current
