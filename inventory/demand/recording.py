"""Writes demand down in the transaction of the act that it comes from, on locked Stock rows."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from django.db.models import Q, QuerySet, Sum

from inventory.models import Demand, MonthlyDemand

from .one_offs import look

Kind = Demand.Kind
WENT_OUT = (Kind.KIT, Kind.LOOSE, Kind.WORK)
_MARKS = ("part", "first_choice", "one_off", "kit", "kits", "reference")


@dataclass(frozen=True)
class Asked:
    """Pieces of a part for a kit; all parts of the same kits share a `reference`.

    `kit` is the code of the kit's template, `kits` how many of them the pieces are for. `first_choice` is
    the part in whose place this one goes.
    """

    part_id: int
    quantity: int
    kit: str
    kits: int
    reference: str
    first_choice_id: int | None = None

    def of(self, quantity: int) -> Asked:
        """The same, of so many pieces."""
        return replace(self, quantity=quantity)


def shipped(kept: Mapping[int, int], in_kits: Iterable[Asked], reference: str, day: date) -> None:
    """What left: the parts of kits, and what else was kept, which was sold loose."""
    rows = [_of_kit(Kind.KIT, one, day) for one in in_kits]
    loose = Counter(kept)
    for row in rows:
        loose[row.part_id] -= row.quantity
    rows += [
        Demand(part_id=part, quantity=quantity, kind=Kind.LOOSE, reference=reference, day=day)
        for part, quantity in sorted(loose.items())
        if quantity > 0
    ]
    _write(rows)


def missed(asked: Iterable[Asked], day: date) -> list[Demand]:
    """What was asked for and could not be had in time."""
    return _write([_of_kit(Kind.LOST, one, day) for one in asked])


def made_up(part_id: int, components: Mapping[int, int], day: date) -> None:
    """The workshop used these for a made-up part; its own sale is demand for that part alone."""
    _write(
        [
            Demand(part_id=one, quantity=quantity, kind=Kind.WORK, reference=_making(part_id), day=day)
            for one, quantity in sorted(components.items())
        ]
    )


def taken_apart(part_id: int, components: Mapping[int, int], day: date) -> None:
    """They came out again. What was never put in here, as in a kit that was bought made up, was no demand."""
    of_work = Demand.objects.filter(part__in=components, reference=_making(part_id))
    _come_back(of_work, components, day)


def came_back(part_id: int, quantity: int, reference: str, *, sold_on: date, day: date) -> None:
    """A customer sent back what left on `sold_on` with this reference, in its kits or loose.

    What was sold before sales were kept one by one comes off its month, not below none.
    """
    of_sale = Demand.objects.filter(
        Q(reference=reference) | Q(reference__startswith=f"{reference}/"), part=part_id, day__gte=sold_on
    )
    left = _come_back(of_sale, {part_id: quantity}, day)[part_id]
    if left:
        _take_off_month(part_id, left, sold_on)


def _come_back(rows: QuerySet[Demand], quantities: Mapping[int, int], day: date) -> Counter[int]:
    """Write returns with the marks of what went out and is not back yet; what is left is of no such row."""
    left = Counter(quantities)
    back = []
    for marks, out in sorted(_still_out(rows).items(), key=str):
        part = marks[0]
        if taken := min(left[part], out):
            left[part] -= taken
            named: dict[str, Any] = {f"{_MARKS[0]}_id": part, f"{_MARKS[1]}_id": marks[1]}
            named |= dict(zip(_MARKS[2:], marks[2:], strict=True))
            back.append(Demand(**named, quantity=taken, kind=Kind.RETURN, day=day))
    Demand.objects.bulk_create(back)
    return left


def _still_out(rows: QuerySet[Demand]) -> Counter[tuple[Any, ...]]:
    """By marks what went out less what came back of it."""
    out: Counter[tuple[Any, ...]] = Counter()
    for kinds, sign in ((WENT_OUT, 1), ((Kind.RETURN,), -1)):
        sums = rows.filter(kind__in=kinds).order_by().values_list(*_MARKS).annotate(Sum("quantity"))
        for *marks, quantity in sums:
            out[tuple(marks)] += sign * quantity
    return +out


def _take_off_month(part_id: int, quantity: int, sold_on: date) -> None:
    month = sold_on.replace(day=1)
    # Its usual order would join the part, and lock that row too.
    sold = MonthlyDemand.objects.select_for_update().filter(part=part_id, month=month).order_by("pk").first()
    if sold is not None:
        sold.quantity = max(0, sold.quantity - quantity)
        sold.save(update_fields=["quantity"])


def _of_kit(kind: Kind, asked: Asked, day: date) -> Demand:
    return Demand(
        part_id=asked.part_id,
        day=day,
        quantity=asked.quantity,
        kind=kind,
        first_choice_id=asked.first_choice_id,
        kit=asked.kit,
        kits=asked.kits,
        reference=asked.reference,
    )


def _write(rows: list[Demand]) -> list[Demand]:
    look(rows)
    return Demand.objects.bulk_create(rows)


def _making(part_id: int) -> str:
    return f"make-up/{part_id}"
