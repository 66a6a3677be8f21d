"""What fills a slot, as the term of a check: whose feature, which band, which shop works on it."""

from __future__ import annotations

from fractions import Fraction
from functools import reduce
from operator import add

from kits.conversion import (
    EMPTY,
    LEFT_OUT,
    OWN,
    PARTS,
    Conversion,
    Filling,
    Fills,
    PartRead,
    SlotRead,
    TermRead,
    Valued,
)
from kits.fit import Amount, Band, Measured, Term, Work


def term_for(conversion: Conversion, term: TermRead, fills: Fills) -> Term | None:
    """The term with what the fills give for it; None where its slot is left out."""
    works: tuple[Work, ...] = ()
    if term.slot_id is None:
        measured = _of_engine(conversion, term.feature_id, term.feature)
    else:
        slot, filling = conversion.slot_by_id[term.slot_id], fills.get(term.slot_id, EMPTY)
        if filling.how == LEFT_OUT:
            return None
        if filling.how == PARTS:
            measured, works = of_parts(conversion, slot, filling, term)
        elif filling.how == OWN:
            measured = _of_own(slot, filling, term)
        else:
            measured = _of_reused(conversion, slot, term)
    return Term(term.sign, measured, plain(term.factor), works, term.role)


def plain(factor: Fraction) -> Fraction | int:
    """A whole number where it is one: sums of those are quick."""
    return factor.numerator if factor.denominator == 1 else factor


def _of_engine(conversion: Conversion, feature_id: int, name: str) -> Measured:
    value = conversion.engine_values.get(feature_id)
    if value is None:
        return Measured(conversion.engine, name, None, "not recorded")
    return Measured(conversion.engine, name, value.value, value.source)


def _of_reused(conversion: Conversion, slot: SlotRead, term: TermRead) -> Measured:
    """The engine's feature that the template names for a re-used part."""
    if term.reused_id is None:
        return Measured(f"re-used {slot.name}", term.feature, None, "not recorded")
    return _of_engine(conversion, term.reused_id, term.reused)


def _of_own(slot: SlotRead, filling: Filling, term: TermRead) -> Measured:
    owner, value = f"customer's own {slot.name}", dict(filling.own).get(term.feature_id)
    if value is None:
        return Measured(owner, term.feature, None, "not given")
    return Measured(owner, value.name, value.value, value.source)


def of_parts(
    conversion: Conversion, slot: SlotRead, filling: Filling, term: TermRead
) -> tuple[Measured, tuple[Work, ...]]:
    """What the parts that carry the feature make of it together, and the shop works on it.

    Lengths are added up, and so are ratings; counts and designations must say the same. Of parts that
    come together those without the feature do not count (a pulley's hub length is not that of its
    bolt); when none carries it, it is unknown. A part that is there once for every unit of the slot
    counts once; one of which several go into each unit (shims) counts as often.
    """
    carriers = [
        (conversion.parts[part_id], quantity)
        for part_id, quantity in filling.parts
        if term.feature_id in conversion.parts[part_id].values
    ]
    if not carriers:
        parts = [conversion.parts[part_id] for part_id, _ in filling.parts]
        return Measured(_owner(slot, parts), term.feature, None, "not recorded"), ()
    owner = _owner(slot, [part for part, _ in carriers])
    values = [part.values[term.feature_id] for part, _ in carriers]
    sources = " and ".join(dict.fromkeys(value.source for value in values))
    together = _together([value.value for value in values], [n for _, n in carriers], slot)
    measured = Measured(owner, term.feature, together, sources)
    single = len(carriers) == 1 and carriers[0][1] == 1
    works = conversion.works.get((carriers[0][0].category_id, term.feature_id), ()) if single else ()
    return measured, works


def _together(values: list[Valued], quantities: list[int], slot: SlotRead) -> Valued:
    """The value of several parts in one slot; None where one is unknown or two contradict each other."""
    bands = [
        value * units if (units := _per_unit(slot, quantity)) > 1 else value
        for value, quantity in zip(values, quantities, strict=True)
        if isinstance(value, Band)
    ]
    if len(bands) == len(values):
        return reduce(add, bands)
    ratings = [
        value * quantity
        for value, quantity in zip(values, quantities, strict=True)
        if isinstance(value, Amount) and value.unit
    ]
    if len(ratings) == len(values):
        return reduce(add, ratings)
    return values[0] if len(set(values)) == 1 else None


def _per_unit(slot: SlotRead, quantity: int) -> int:
    """How many lie in one stack: eight bolts in eight holes count once, two shims on one shaft twice."""
    return quantity // slot.quantity if quantity % slot.quantity == 0 else 1


def _owner(slot: SlotRead, parts: list[PartRead]) -> str:
    """'Pump pulley Corran CP-104': the place in the kit, and what is in it."""
    return f"{slot.name} " + " + ".join(f"{part.maker} {part.number}" for part in parts)
