"""Kits made up on the shelf and taken apart again, by the makeup of the part: whole or not at all.

Components leave the shop for the place of kind MAKING and the made-up part comes from there, so the ledger
shows both; what it cost is what its components cost, and the work.
"""

from collections.abc import Mapping, Sequence
from decimal import Decimal
from fractions import Fraction
from typing import Any

from django.contrib.auth.models import User
from django.utils import timezone

from . import demand
from .acting import ActError, Conflict, act
from .alerting import look_again
from .allotting import bins_to_take
from .apart import came_out, into_lots, out_of_lots
from .costing import NOTHING, rounded, share_out
from .keeping import lock_current
from .ledger import move, outside
from .lot_codes import lot_quantities
from .models import Balance, Lot, Makeup, Movement, Part, Place, Stock
from .worth import last_price


@act("inventory.pick")
def make_up(
    user: User,
    part: Part,
    quantity: int,
    place: Place,
    reference: str = "",
    *,
    lots: Sequence[str] = (),
    work_cost: Decimal = NOTHING,
) -> list[Movement]:
    """Make up so many pieces into `place`, from what lies free in the bins: the oldest lots, then the homes.

    `lots` are the codes of the made-up pieces where these are tracked; `work_cost` is for all of them.
    Returns the movements that bring them in, one for each lot. Raises ActError "no-makeup",
    "not-a-place-here", "bad-quantity", "bad-cost", "lot-needed" or "wrong-lot", and Conflict naming every
    component of which too few are free or in the bins.
    """
    now = timezone.now()
    makeup = _makeup(part, quantity, place)
    if not work_cost.is_finite() or work_cost < 0:
        raise ActError(f"The work costs something or nothing, not {work_cost}.", code="bad-cost")
    codes = lot_quantities(part, quantity, lots)
    stocks = lock_current([part.pk, *(line.component_id for line in makeup)], now)
    wanted = {line.component: line.quantity * quantity for line in makeup}
    taken = _take(wanted, stocks)
    of_all: dict[str, Any] = {"act": Movement.Act.MAKE_UP, "by": user, "at": now, "reference": reference}
    making = outside(Place.Kind.MAKING)
    went = [
        move(part=one.part, lot=one.lot, quantity=n, origin=one.place, destination=making, **of_all)
        for one, n in taken
    ]
    cost = sum((one.value for one in went), rounded(work_cost))
    made = [
        move(part=part, lot=lot, quantity=n, origin=making, destination=place, cost=share, **of_all)
        for (lot, n), share in zip(into_lots(part, codes), share_out(cost, list(codes.values())), strict=True)
    ]
    used = {component.pk: n for component, n in wanted.items()}
    demand.made_up(part.pk, used, timezone.localdate(now))
    look_again(stocks, now)
    return made


@act("inventory.pick")
def take_apart(
    user: User,
    part: Part,
    quantity: int,
    place: Place,
    to_place: Place,
    reference: str = "",
    *,
    lot: Lot | None = None,
    lots: Mapping[int, Sequence[str]] | None = None,
) -> list[Movement]:
    """Take pieces that lie in `place` apart; their components come to `to_place`. Returns those movements.

    `lot` says which pieces, else the oldest there go. `lots` are the lot or serial codes of the components
    by part id; what is left out is told by the records where they leave no doubt. What the pieces cost is
    shared by what the components cost now. Raises ActError "no-makeup", "not-a-place-here", "bad-quantity",
    "lot-needed" or "wrong-lot", and Conflict when too few lie there, or they are kept or on a walk.
    """
    now = timezone.now()
    makeup = _makeup(part, quantity, place, to_place)
    stocks = lock_current([part.pk, *(line.component_id for line in makeup)], now)
    inside = {line.component: line.quantity * quantity for line in makeup}
    codes = came_out(inside, lots or {})
    of_all: dict[str, Any] = {"act": Movement.Act.TAKE_APART, "by": user, "at": now, "reference": reference}
    making = outside(Place.Kind.MAKING)
    value = sum(
        (
            move(part=part, lot=one, quantity=n, origin=place, destination=making, **of_all).value
            for one, n in out_of_lots(part, quantity, place, lot)
        ),
        NOTHING,
    )
    coming = [(component, lot, n) for component, by_lot in codes for lot, n in into_lots(component, by_lot)]
    shares = share_out(value, _weights([(component, n) for component, _, n in coming], stocks))
    came = [
        move(part=component, lot=lot, quantity=n, origin=making, destination=to_place, cost=share, **of_all)
        for (component, lot, n), share in zip(coming, shares, strict=True)
    ]
    back = {component.pk: n for component, n in inside.items()}
    demand.taken_apart(part.pk, back, timezone.localdate(now))
    look_again(stocks, now)
    return came


def _makeup(part: Part, quantity: int, *places: Place) -> list[Makeup]:
    for place in places:
        if not place.is_inside:
            raise ActError(f"{place} is not a place in the shop.", code="not-a-place-here")
    if quantity < 1:
        raise ActError(f"Make up or take apart at least one piece, not {quantity}.", code="bad-quantity")
    lines = list(part.makeup.select_related("component__maker").order_by("component_id"))
    if not lines:
        raise ActError(
            f"{part} is not made up here: have the catalogue desk say what goes into it.", code="no-makeup"
        )
    return lines


def _take(wanted: Mapping[Part, int], stocks: Mapping[int, Stock]) -> list[tuple[Balance, int]]:
    """Which bins give how many, in part order; Conflict unless there is enough of every component."""
    bins = bins_to_take([component.pk for component in wanted])
    taken: list[tuple[Balance, int]] = []
    missing: list[str] = []
    for component, needed in wanted.items():
        stock = stocks[component.pk]
        free = stock.on_hand - stock.held - stock.committed
        left = needed
        for balance in bins[component.pk] if free >= needed else []:
            if n := min(left, balance.quantity - balance.allotted):
                taken.append((balance, n))
                left -= n
        if left:
            in_bins = f"{needed - left} in the bins, not on a walk and not waiting to be counted"
            lying = f"{free} free" if free < needed else in_bins
            missing.append(f"{needed} x {component}, of which {lying}")
    if missing:
        raise Conflict(
            f"Not enough to make it up: {'; '.join(missing)}. Make up fewer, or wait for more.",
            missing=missing,
        )
    return taken


def _weights(coming: Sequence[tuple[Part, int]], stocks: Mapping[int, Stock]) -> list[Fraction]:
    """What the components cost now: at their average, or the last price of those that are all gone."""
    weights = []
    for component, n in coming:
        stock = stocks[component.pk]
        if stock.on_hand:
            weights.append(Fraction(stock.value) * n / stock.on_hand)
        else:
            weights.append(Fraction(last_price(component.pk) or NOTHING) * n)
    return weights if any(weights) else [Fraction(n) for _, n in coming]
