"""From what fills the slots to the terms of a check, and from the terms to its finding.

One `Evaluator` serves one call: it keeps what it found, so that an option list judges only the checks
that a swap touches.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from fractions import Fraction
from functools import reduce
from operator import add

from kits.choices import choices_for
from kits.conversion import (
    EMPTY,
    LEFT_OUT,
    OWN,
    PARTS,
    CheckRead,
    Conversion,
    Filling,
    Fills,
    PartRead,
    SlotRead,
    TermRead,
)
from kits.fit import Finding, FitError, Measured, Term, Verdict, Work, judge, size_for


class Evaluator:
    """Evaluates the checks of one conversion under different fills."""

    def __init__(self, conversion: Conversion) -> None:
        self.conversion = conversion
        self._found: dict[tuple[int, tuple[Filling, ...]], Finding | None] = {}

    def findings(self, fills: Fills) -> tuple[Finding, ...]:
        """Of every check that applies to these fills, in the order of the checks."""
        return _there(self.finding(check, fills) for check in self.conversion.checks)

    def findings_after(
        self, slot_id: int, fills: Fills, before: Sequence[Finding | None]
    ) -> tuple[Finding, ...]:
        """The findings once `slot_id` is filled otherwise; `before` has one per check, in their order."""
        pairs = zip(self.conversion.checks, before, strict=True)
        return _there(
            self.finding(check, fills) if slot_id in check.slot_ids else known for check, known in pairs
        )

    def finding(self, check: CheckRead, fills: Fills) -> Finding | None:
        """None where the check does not apply: a pair of which one is left out, or no term at all."""
        key = (check.id, tuple(fills.get(slot_id, EMPTY) for slot_id in check.slot_ids))
        if key not in self._found:
            self._found[key] = self._judge(check, fills)
        return self._found[key]

    def _judge(self, check: CheckRead, fills: Fills) -> Finding | None:
        terms = [term_for(self.conversion, term, fills) for term in check.terms]
        there = [term for term in terms if term is not None]
        if not there or (check.kind == "pair" and len(there) < len(terms)):
            return None
        finding = judge(check.code, check.name, there, check.wanted)
        if check.open_slot_id is None or finding.verdict is Verdict.GOES_TOGETHER:
            return finding
        advice = _size_advice(self.conversion, check, fills)
        return replace(finding, reason=f"{finding.reason} {advice}") if advice else finding


def _there(findings: Iterable[Finding | None]) -> tuple[Finding, ...]:
    return tuple(finding for finding in findings if finding is not None)


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
            measured, works = _of_parts(conversion, slot, filling, term)
        elif filling.how == OWN:
            measured = _of_own(slot, filling, term)
        else:
            measured = _of_reused(conversion, slot, term)
    return Term(term.sign, measured, _plain(term.factor), works, term.role)


def _plain(factor: Fraction) -> Fraction | int:
    return factor.numerator if factor.denominator == 1 else factor


def _of_engine(conversion: Conversion, feature_id: int, name: str) -> Measured:
    value = conversion.engine_values.get(feature_id)
    if value is None:
        return Measured(conversion.engine, name, None, "not recorded")
    return Measured(conversion.engine, name, value.band, value.source)


def _of_reused(conversion: Conversion, slot: SlotRead, term: TermRead) -> Measured:
    """The engine's feature that the template names for a re-used part."""
    if term.reused_id is None:
        return Measured(f"re-used {slot.name}", term.feature, None, "not recorded")
    return _of_engine(conversion, term.reused_id, term.reused)


def _of_own(slot: SlotRead, filling: Filling, term: TermRead) -> Measured:
    owner, value = f"customer's own {slot.name}", dict(filling.own).get(term.feature_id)
    if value is None:
        return Measured(owner, term.feature, None, "not given")
    return Measured(owner, value.name, value.band, value.source)


def _of_parts(
    conversion: Conversion, slot: SlotRead, filling: Filling, term: TermRead
) -> tuple[Measured, tuple[Work, ...]]:
    """The sum over the parts that carry the feature, and the shop works on it.

    Of parts that come together those without the feature do not count (a pulley's hub length is not
    that of its bolt); when none carries it, it is unknown. A part that is there once for every unit
    of the slot counts once; one of which several go into each unit (shims) counts as often.
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
    bands = [
        value.band * units if (units := _per_unit(slot, quantity)) > 1 else value.band
        for value, (_, quantity) in zip(values, carriers, strict=True)
        if value.band is not None
    ]
    band = reduce(add, bands) if len(bands) == len(values) else None
    measured = Measured(owner, term.feature, band, sources)
    single = len(carriers) == 1 and carriers[0][1] == 1
    works = conversion.works.get((carriers[0][0].category_id, term.feature_id), ()) if single else ()
    return measured, works


def _per_unit(slot: SlotRead, quantity: int) -> int:
    """How many lie in one stack: eight bolts in eight holes count once, two shims on one shaft twice."""
    return quantity // slot.quantity if quantity % slot.quantity == 0 else 1


def _owner(slot: SlotRead, parts: list[PartRead]) -> str:
    """'Pump pulley Corran CP-104': the place in the kit, and what is in it."""
    return f"{slot.name} " + " + ".join(f"{part.maker} {part.number}" for part in parts)


def _size_advice(conversion: Conversion, check: CheckRead, fills: Fills) -> str:
    """Which size the open slot needs, and which listed candidates have it; '' while that is unknown."""
    open_terms = [term for term in check.terms if term.slot_id == check.open_slot_id]
    others = [term_for(conversion, term, fills) for term in check.terms if term.slot_id != check.open_slot_id]
    if len(open_terms) != 1 or check.open_slot_id is None:
        return ""
    slot, term = conversion.slot_by_id[check.open_slot_id], open_terms[0]
    try:
        size = size_for([other for other in others if other], term.sign, check.wanted, _plain(term.factor))
    except FitError:  # Something else is unknown; the finding says what to measure.
        return ""
    if size is None:
        return f"No size of {slot.name} makes it right while the other parts are as they are."
    having = [
        choice.label
        for choice in choices_for(conversion, slot).values()
        if choice.filling.how == PARTS
        and (band := _of_parts(conversion, slot, choice.filling, term)[0].band) is not None
        and band in size
    ]
    listed = f"in the list: {', '.join(having)}" if having else "none in the list has that"
    return f"With {slot.name} {term.feature} {size.format(rounding='in')} it goes together; {listed}."
