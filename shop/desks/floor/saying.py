"""How what has to be carried is said, on whichever page it comes up."""

from collections.abc import Sequence

from inventory.walking import GoesBack, Missed


def carry_back(back: Sequence[GoesBack]) -> str:
    """The sentence for whoever stands at the bench; empty when nothing lies there."""
    if not back:
        return ""
    pieces = ", ".join(f"{quantity} × {stop.part.number} into {stop.place}" for stop, quantity in back)
    return f"Carry back: {pieces}."


def not_found(missed: Missed) -> str:
    """What becomes of pieces that were not there."""
    pieces = f"{missed.missing} × {missed.stop.part.number}"
    if missed.instead:
        places = ", ".join(f"{stop.quantity} in {stop.place}" for stop in missed.instead)
        return f"{pieces} will be fetched at the end of this walk: {places}."
    order = missed.stop.reservation.reference
    return f"No other bin has {pieces}: {order} is off this walk. {carry_back(missed.back)}".strip()
