"""Does everything that is kept beside the ledger still agree with it? Reads only, a few sums."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from django.db.models import F, Model, QuerySet, Sum

from .models import (
    Balance,
    Lot,
    Movement,
    Part,
    Place,
    PurchaseLine,
    Reservation,
    ReservationLine,
    Stock,
    WalkStop,
)

Key = tuple[int | None, ...]
Sums = dict[Key, int]

NAMED: dict[str, QuerySet[Any]] = {
    "part": Part.objects.select_related("maker"),
    "place": Place.objects.all(),
    "lot": Lot.objects.all(),
    "purchase line": PurchaseLine.objects.select_related("part__maker", "order"),
}


@dataclass(frozen=True)
class Check:
    """One kept figure: what it is called, by what it is kept, what it should be and what it is."""

    what: str
    names: tuple[str, ...]
    expected: Sums
    kept: Sums

    def differences(self) -> Iterator[str]:
        """One sentence for every key at which the two differ."""
        differ = [
            key
            for key in sorted(self.expected.keys() | self.kept.keys(), key=str)
            if self.expected.get(key, 0) != self.kept.get(key, 0)
        ]
        known = {
            name: NAMED[name].in_bulk({key[nth] for key in differ} - {None})
            for nth, name in enumerate(self.names if differ else ())
        }
        for key in differ:
            of = ", ".join(
                f"{name} {value} ({known[name].get(value, 'unknown')})"
                for name, value in zip(self.names, key, strict=True)
                if value is not None
            )
            is_, should = self.kept.get(key, 0), self.expected.get(key, 0)
            yield f"{self.what} of {of}: kept as {is_}, but the records say {should}"


def checks() -> Iterator[Check]:
    """Every figure that is derived and kept."""
    by_place, by_part = ("part", "place", "lot"), ("part",)
    balances = _sums(Balance, "quantity", "part_id", "place_id", "lot_id")
    yield Check("balance", by_place, _moved(), balances)
    on_hand: Sums = {}
    for key, quantity in balances.items():
        on_hand[key[:1]] = on_hand.get(key[:1], 0) + quantity
    yield Check("stock on hand", by_part, on_hand, _sums(Stock, "on_hand", "part_id"))
    for kind, figure in ((Reservation.Kind.HOLD, "held"), (Reservation.Kind.COMMITMENT, "committed")):
        kept = _kept().filter(purchase_line=None, reservation__kind=kind)
        yield Check(
            f"stock {figure}", by_part, _sum(kept, "quantity", "part_id"), _sums(Stock, figure, "part_id")
        )
    waiting = _sum(_kept().exclude(purchase_line=None), "quantity", "purchase_line_id")
    yield Check("reserved", ("purchase line",), waiting, _sums(PurchaseLine, "reserved", "pk"))
    came = Movement.objects.filter(act=Movement.Act.RECEIVE).exclude(purchase_line=None)
    received = _sum(came, "quantity", "purchase_line_id")
    yield Check("received", ("purchase line",), received, _sums(PurchaseLine, "received", "pk"))
    left = WalkStop.objects.filter(picked__lt=F("quantity")).annotate(still=F("quantity") - F("picked"))
    allotted = _sum(left, "still", "part_id", "place_id", "lot_id")
    kept_allotted = _sums(Balance, "allotted", "part_id", "place_id", "lot_id")
    yield Check("allotted", by_place, allotted, kept_allotted)


def _moved() -> Sums:
    """What the movements leave in every place inside."""
    totals: Sums = {}
    for side, sign in (("destination", 1), ("origin", -1)):
        inside = Movement.objects.filter(**{f"{side}__kind__in": Place.INSIDE})
        for key, quantity in _sum(inside, "quantity", "part_id", f"{side}_id", "lot_id").items():
            totals[key] = totals.get(key, 0) + sign * quantity
    return totals


def _kept() -> QuerySet[ReservationLine]:
    return ReservationLine.objects.filter(reservation__state=Reservation.State.KEPT)


def _sums(model: type[Model], figure: str, *by: str) -> Sums:
    return _sum(model._default_manager.all(), figure, *by)


def _sum(rows: QuerySet[Any], figure: str, *by: str) -> Sums:
    grouped = rows.order_by().values_list(*by).annotate(total=Sum(figure))
    return {tuple(key): total for *key, total in grouped}
