"""Is it what the stop wants? The number that was scanned, and the lot or serial number."""

from django.db.models import Q

from .acting import ActError
from .models import Balance, Part, WalkStop, scan_key


class WrongPart(ActError):
    """Not the part that is wanted. `details`: scanned, is (what that number is, or None), wanted, place."""

    code = "wrong-part"


def check_scan(stop: WalkStop, scanned: str) -> None:
    """Any number of the part will do, however it is written. Raises WrongPart."""
    key = scan_key(scanned)
    known = Part.objects.filter(Q(key=key) | Q(alternate_numbers__key=key)).select_related("maker").distinct()
    parts = list(known) if key else []
    if stop.part in parts:
        return
    found = " or ".join(str(part) for part in parts)
    said = f"That is {found}" if found else f"No part has the number {scanned!r}"
    raise WrongPart(
        f"{said}. Wanted from {stop.place}: {stop.part}.",
        scanned=scanned,
        wanted=f"{stop.part.number} {stop.part.name}",
        place=stop.place.code,
        **{"is": found or None},
    )


def other_lot(stop: WalkStop, said: str, quantity: int) -> Balance | None:
    """None for the lot that the stop wants; another lot in the same bin, if so many of it are free there.

    Raises ActError "lot-needed" or "wrong-lot".
    """
    if stop.lot is None:
        return None
    said = said.strip()
    what = "serial number" if stop.part.tracking == Part.Tracking.SERIAL else "lot"
    wanted = f"{stop.lot} is wanted from {stop.place}"
    if not said:
        raise ActError(f"Scan the {what} too: {wanted}.", code="lot-needed", wanted=stop.lot.code)
    if said.upper() == stop.lot.code.upper():
        return None
    here = Balance.objects.select_for_update(of=("self",)).select_related("lot")
    other = here.filter(part=stop.part, place=stop.place, lot__code__iexact=said, quantity__gt=0).first()
    free = other.quantity - other.allotted if other else 0
    if other is not None and free >= quantity:
        return other
    if other is None:
        why = f"That is {what} {said}, which should not be here"
    elif free:
        why = f"Of {what} {said} only {free} here may be taken"
    else:
        why = f"That is {what} {said}, which another stop is to take"
    raise ActError(f"{why}; {wanted}.", code="wrong-lot", scanned=said, wanted=stop.lot.code, free=free)
