"""Lot and serial codes as somebody gives them with the pieces: how many pieces each stands for.

A code is the same in capitals and in small letters: who types it and who scans it mean one lot.
"""

from collections import Counter
from collections.abc import Sequence
from typing import Any

from .acting import ActError
from .models import Lot, Part


def lot_of(part: Part, code: str) -> Lot:
    """The part's lot or serial number of this code, made where it is new. On the part's locked Stock row."""
    here = part.lots.filter(code=code).first() or part.lots.filter(code__iexact=code).order_by("pk").first()
    return here or Lot.objects.create(part=part, code=code)


def lot_quantities(part: Part, quantity: int, codes: Sequence[str], **details: Any) -> dict[str, int]:
    """Lot or serial code: how many pieces; an empty code for a part that is not tracked.

    `codes` are one for all pieces or one for each. Raises ActError "lot-needed" or "wrong-lot", with
    `details`.
    """
    given = [code.strip() for code in codes if code.strip()]
    if part.tracking == Part.Tracking.NONE:
        if given:
            raise ActError(
                f"{part} is not tracked: leave out {', '.join(given)}.", code="wrong-lot", **details
            )
        return {"": quantity}
    each = part.tracking == Part.Tracking.SERIAL
    if not given or (each and len(given) != quantity):
        what = f"{quantity} serial numbers, one for each piece" if each else "the lot"
        raise ActError(f"{part} is tracked: give {what}.", code="lot-needed", **details)
    if len(given) == 1:
        return {given[0]: quantity}
    spelled: dict[str, str] = {}
    counted = Counter(spelled.setdefault(code.upper(), code) for code in given)
    if len(given) != quantity or (each and len(counted) != quantity):
        raise ActError(
            f"{part}: give one lot for all {quantity} pieces or one code for each, and no serial twice.",
            code="wrong-lot",
            **details,
        )
    return dict(counted)
