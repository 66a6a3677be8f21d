"""Putting the ledger right: a count that found another number, and pieces thrown away."""

from django.contrib.auth.models import User
from django.utils import timezone

from .acting import ActError, act
from .keeping import lock_current
from .ledger import move, outside
from .models import Balance, Lot, Movement, Part, Place


@act("inventory.correct_stock")
def correct(
    user: User, part: Part, place: Place, found: int, reason: str, lot: Lot | None = None
) -> Movement | None:
    """Book what a count found in a place. None when the ledger said so already.

    Raises Conflict when what is missing is held, committed or allotted to a walk.
    """
    _check(place, reason)
    if found < 0:
        raise ActError(f"A count finds none or some, not {found}.", code="bad-quantity")
    now = timezone.now()
    lock_current([part.pk], now)
    balance = Balance.objects.select_for_update().filter(part=part, place=place, lot=lot).first()
    difference = found - (balance.quantity if balance else 0)
    if not difference:
        return None
    origin, destination = outside(Place.Kind.COUNT), place
    if difference < 0:
        origin, destination = destination, origin
    return move(
        act=Movement.Act.COUNT,
        part=part,
        lot=lot,
        quantity=abs(difference),
        origin=origin,
        destination=destination,
        by=user,
        at=now,
        reference=reason[:60],
    )


@act("inventory.correct_stock")
def scrap(
    user: User, part: Part, place: Place, quantity: int, reason: str, lot: Lot | None = None
) -> Movement:
    """Throw pieces away. Raises Conflict when they are held, committed, allotted, or not there."""
    _check(place, reason)
    now = timezone.now()
    lock_current([part.pk], now)
    return move(
        act=Movement.Act.SCRAP,
        part=part,
        lot=lot,
        quantity=quantity,
        origin=place,
        destination=outside(Place.Kind.SCRAP),
        by=user,
        at=now,
        reference=reason[:60],
    )


def _check(place: Place, reason: str) -> None:
    if not place.is_inside:
        raise ActError(f"{place} is not a place in the shop.", code="not-a-place-here")
    if not reason.strip():
        raise ActError("Say why: whoever reads the ledger will ask.", code="reason-needed")
