"""Which bins have pieces to take, and which gives what to a walk.

Balances are locked by id, and what a walk is to take is spoken for.
"""

from collections import defaultdict
from collections.abc import Collection, Sequence
from dataclasses import dataclass

from django.db.models import Exists, F, OuterRef, Q, QuerySet, Sum

from .acting import ActError
from .corrections import UNSETTLED_STATES
from .due_counts import ASKED_BY_FLOOR
from .models import Balance, CountLine, Part, Place, Reservation, ReservationLine, WalkStop
from .routing import Spot, walk_order


@dataclass(frozen=True)
class Taking:
    """One visit to one bin for one reservation."""

    reservation: Reservation
    balance: Balance
    quantity: int


def allot_bins(reservations: Sequence[Reservation]) -> list[Taking]:
    """Allot bins to all lines of these reservations; the takings come back in walking order.

    Runs with the Stock rows of the parts locked. Raises ActError "not-in-bins", and then allots nothing.
    """
    lines = list(
        ReservationLine.objects.filter(reservation__in=reservations)
        .select_related("reservation", "part__maker", "purchase_line__order")
        .order_by("reservation_id", "part_id", "id")
    )
    bins = bins_to_take({line.part_id for line in lines})
    takings: list[Taking] = []
    missing: list[tuple[ReservationLine, int]] = []
    for line in lines:
        there = bins[line.part_id] if line.purchase_line is None else []
        taken = _take(line.reservation, line.quantity, there)
        takings += taken
        if left := line.quantity - sum(taking.quantity for taking in taken):
            missing.append((line, left))
    if missing:
        raise _not_in_bins(missing)
    return _spoken_for(takings)


def allot_elsewhere(stop: WalkStop, quantity: int) -> list[Taking]:
    """Other bins (or lots) for so many of the stop's pieces, in walking order; none unless they have all.

    Runs with the part's Stock row locked.
    """
    here = (stop.place_id, stop.lot_id)
    bins = [one for one in bins_to_take({stop.part_id})[stop.part_id] if (one.place_id, one.lot_id) != here]
    takings = _take(stop.reservation, quantity, bins)
    return _spoken_for(takings) if sum(taking.quantity for taking in takings) == quantity else []


def _take(reservation: Reservation, wanted: int, bins: Sequence[Balance]) -> list[Taking]:
    """As much of `wanted` as the bins have, the first first; counted on the balances, not written yet."""
    takings = []
    for balance in bins:
        if taken := min(wanted, balance.quantity - balance.allotted):
            balance.allotted += taken
            wanted -= taken
            takings.append(Taking(reservation, balance, taken))
    return takings


def _spoken_for(takings: list[Taking]) -> list[Taking]:
    taken_from = {taking.balance.pk: taking.balance for taking in takings}
    Balance.objects.bulk_update([taken_from[pk] for pk in sorted(taken_from)], ["allotted"])
    return _walked(takings)


def to_take(part_ids: Collection[int]) -> QuerySet[Balance]:
    """Where pieces of these parts lie in bins that no walk has spoken for, and that are not in doubt."""
    return Balance.objects.filter(
        ~_in_doubt(),
        # A tracked part without its lot would be packed untraced: it has to be counted in first.
        Q(part__tracking=Part.Tracking.NONE) | Q(lot__isnull=False),
        part__in=part_ids,
        place__kind=Place.Kind.BIN,
        quantity__gt=F("allotted"),
    )


def bins_to_take(part_ids: Collection[int]) -> dict[int, list[Balance]]:
    """The bins of each part `to_take` from, locked: oldest lot first, then the part's home."""
    locked = to_take(part_ids).select_for_update(of=("self",)).select_related("place", "lot", "part__maker")
    bins: dict[int, list[Balance]] = defaultdict(list)
    for balance in locked.order_by("id"):
        bins[balance.part_id].append(balance)
    for balances in bins.values():
        balances.sort(key=lambda one: (one.lot_id or 0, one.place_id != one.part.home_id, one.pk))
    return bins


def _in_doubt() -> Exists:
    """A picker found too few there: it gives nothing until it is counted, or the next would go in vain."""
    return Exists(
        CountLine.objects.filter(
            Q(lot=OuterRef("lot")) | Q(lot=None),
            part=OuterRef("part"),
            place=OuterRef("place"),
            state__in=UNSETTLED_STATES,
            round__why=ASKED_BY_FLOOR,
        )
    )


def _walked(takings: list[Taking]) -> list[Taking]:
    spots = []
    for key, taking in enumerate(takings):
        place = taking.balance.place
        assert place.aisle is not None and place.bay is not None and place.level is not None  # A bin.
        spots.append(Spot(place.hall, place.aisle, place.bay, place.level, key))
    return [takings[spot.key] for spot in walk_order(spots)]


def _not_in_bins(missing: list[tuple[ReservationLine, int]]) -> ActError:
    said, parts = [], []
    for line, left in missing:
        if line.purchase_line is not None:
            why = f"still to come on {line.purchase_line.order}, due {line.purchase_line.due:%-d %b}"
        else:
            why = _whereabouts(line.part)
        said.append(f"{left} x {line.part}: {why}")
        parts.append({"part": line.part_id, "number": line.part.number, "missing": left, "why": why})
    return ActError(f"Not in the bins: {'; '.join(said)}.", code="not-in-bins", parts=parts)


def _whereabouts(part: Part) -> str:
    on_dock = Balance.objects.filter(part=part, place__kind=Place.Kind.DOCK, quantity__gt=0)
    docks = on_dock.values_list("place__code").annotate(Sum("quantity")).order_by("place__code")
    if docks:
        return ", ".join(f"{count} on the dock {code}, put away first" for code, count in docks)
    doubtful = Balance.objects.filter(_in_doubt(), part=part, quantity__gt=0).order_by("place__code")
    if places := doubtful.values_list("place__code", flat=True).distinct():
        return f"too few were found in {', '.join(places)}: count it"
    if part.tracking != Part.Tracking.NONE:
        return "not in any bin under a lot or serial number, or spoken for by another walk: count the bins"
    return "not in any bin, or spoken for by another walk: count the bins"
