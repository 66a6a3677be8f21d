"""Which lots are meant when a made-up kit is put together or taken apart. On locked Stock rows."""

from collections.abc import Mapping, Sequence

from django.db.models import Case, F, Q, Sum, When

from .acting import ActError, Conflict
from .lot_codes import lot_of, lot_quantities
from .models import Lot, Movement, Part, Place


def into_lots(part: Part, codes: Mapping[str, int]) -> list[tuple[Lot | None, int]]:
    """The lots of these codes, made where they are new; no lot for an empty code."""
    return [(lot_of(part, code) if code else None, quantity) for code, quantity in codes.items()]


def out_of_lots(part: Part, quantity: int, place: Place, lot: Lot | None) -> list[tuple[Lot | None, int]]:
    """Which lots of the place give the pieces: the one that is named, else the oldest first.

    Raises Conflict when fewer lie there that no walk has spoken for.
    """
    if lot is not None or part.tracking == Part.Tracking.NONE:
        return [(lot, quantity)]
    taken: list[tuple[Lot | None, int]] = []
    left = quantity
    there = part.balances.filter(place=place, lot__isnull=False, quantity__gt=F("allotted"))
    for balance in there.select_related("lot").order_by("lot_id"):
        if n := min(left, balance.quantity - balance.allotted):
            taken.append((balance.lot, n))
            left -= n
    if left:
        raise Conflict(
            f"{quantity} x {part} cannot leave {place}: {quantity - left} lie there under a lot or serial "
            "number and for no walk. Count the place, or look where it is.",
            part=part.pk,
            place=place.code,
        )
    return taken


def came_out(
    wanted: Mapping[Part, int], given: Mapping[int, Sequence[str]]
) -> list[tuple[Part, dict[str, int]]]:
    """Component by component, its lot or serial codes and how many of each come out.

    Where none are given for a tracked component, those that went into made-up kits and have not come out,
    if they are just as many, or all of one lot. Raises ActError "lot-needed" or "wrong-lot".
    """
    if strange := set(given) - {part.pk for part in wanted}:
        raise ActError(f"Parts {sorted(strange)} do not come out of it.", code="no-such-part")
    found = []
    for part, quantity in wanted.items():
        codes = given.get(part.pk, ())
        if part.tracking == Part.Tracking.NONE or codes:
            found.append((part, lot_quantities(part, quantity, codes)))
        else:
            found.append((part, _recorded(part, quantity)))
    return found


def _recorded(part: Part, quantity: int) -> dict[str, int]:
    inside = _in_made_up_kits(part)
    if sum(inside.values()) == quantity:
        return inside
    if len(inside) == 1 and quantity <= sum(inside.values()):
        return dict.fromkeys(inside, quantity)
    said = ", ".join(f"{n} of {code}" for code, n in inside.items()) or "none that is recorded"
    raise ActError(
        f"Which {quantity} x {part} come out? In made-up kits: {said}. Give the lot or serial of each piece.",
        code="lot-needed",
        part=part.pk,
        candidates=inside,
    )


def _in_made_up_kits(part: Part) -> dict[str, int]:
    """Lot code: how many pieces went into made-up kits and have not come out; the oldest lot first."""
    went_in = Q(act=Movement.Act.MAKE_UP, destination__kind=Place.Kind.MAKING)
    came_back = Q(act=Movement.Act.TAKE_APART, origin__kind=Place.Kind.MAKING)
    rows = (
        Movement.objects.filter(went_in | came_back, part=part, lot__isnull=False)
        .order_by("lot_id")
        .values_list("lot_id", "lot__code")
        .annotate(inside=Sum(Case(When(went_in, then=F("quantity")), default=-F("quantity"))))
    )
    return {code: inside for _, code, inside in rows if inside > 0}
