"""Which whole kits are still there: through every candidate the best one, or what is in the way.

What the counter chose is kept; every other slot may follow. A candidate is possible if some whole kit has
it together with all that was chosen, goes together or goes with work; it is sure only if nothing has to be
measured first. The best of several is the one with the fewest checks to measure for; of those the one in
which fewest slots follow; of those the cheapest: nobody wants another pump because it is cheaper. And
nothing of the customer's own follows: they have it to bring, or have not, so it is only in a kit where it
is asked for.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from typing import Final

from kits.compiling.network import UNSURE
from kits.conversion import OWN, SlotRead
from kits.costed import BROUGHT, CENTS, FOLLOWING, NEVER, Costed
from kits.options import agreement
from kits.solver import (
    Conflict,
    Contradiction,
    MaybeOptions,
    NotYetKnown,
    OneChange,
    OutOfTime,
    Solver,
    earliest,
)
from kits.ways import Around, InTheWay, State, Swapped, Swaps, Through, WayOut

__all__ = ["Around", "InTheWay", "State", "Swapped", "Swaps", "Through", "WayOut", "WholeKits"]

WAYS: Final = 3


@dataclass(frozen=True)
class _Found:
    """What the solver says of every candidate: of the best whole kit, the cheapest, the earliest."""

    best: MaybeOptions
    cheapest: MaybeOptions
    days: MaybeOptions


class WholeKits(Costed):
    """The whole kits of one custom kit, as chosen, priced and stocked now."""

    def through(self) -> Mapping[str, Mapping[str, Through]]:
        """By slot and key. Where the choices exclude each other only what mends that is possible."""
        found = self._found()
        return {
            slot.code: {key: self._through(found, slot, key) for key in self.choices[slot.id]}
            for slot in self.conversion.slots
        }

    def around(self, slot_code: str, key: str) -> Around:
        """One candidate: the best whole kit with it, or what is in its way."""
        try:
            best = self.cheapest_with(slot_code, key)
            if best is not None:
                return Around(best.state, best=best)
            return Around(State.NOT_POSSIBLE, in_the_way=self.in_the_way(slot_code, key))
        except OutOfTime:
            return Around(State.NOT_YET_KNOWN)

    def in_the_way(self, slot_code: str, key: str, ways: int = WAYS) -> InTheWay:
        """Why that candidate is not possible, and the cheapest ways out; OutOfTime if not known in time."""
        # In the slot itself only the key counts: so nearly all of them are asked of one network.
        own = slot_code if key == OWN else ""
        solver, others = self.without_brought(own).solver, self.others(slot_code)
        conflict = solver.conflict(others, slot_code, key)
        repairs = solver.repairs(others, slot_code, key, ways, self.costs_in(solver))
        changes = [{code: str(value) for code, value in one.changes.items()} for one in repairs]
        return self._told(conflict, [way for one in changes if (way := self._way_out({slot_code: key}, one))])

    def excluding_each_other(self) -> InTheWay | None:
        """What of the choices themselves excludes each other, and the ways out.

        None where a whole kit has them all, or where that is not known in time.
        """
        try:
            solver = self.without_brought().solver
            if solver.possible(self.chosen):
                return None
            conflict = solver.conflict(self.chosen)
            return self._told(conflict, self._mending(solver, conflict))
        except OutOfTime:
            return None

    def cheapest_with(self, slot_code: str, key: str) -> WayOut | None:
        """What else changes in the best whole kit with a candidate; None where there is none."""
        try:
            return self._way_out({slot_code: key}, {})
        except Contradiction:
            return None

    def nearest(self) -> WayOut | None:
        """What follows in the best whole kit with all that was chosen; None where none is known."""
        try:
            return self._way_out({}, {})
        except (Contradiction, OutOfTime):
            return None

    def offers(self, slot_code: str, key: str) -> bool:
        """Whether there is such a slot, and such a candidate for it."""
        return any(slot.code == slot_code and key in self.choices[slot.id] for slot in self.conversion.slots)

    def _found(self) -> _Found | State:
        """Of everything beside what was chosen, even if that excludes itself; a state if it is not known."""
        solver, asked = self.kept.solver, self.chosen
        try:
            best, cheapest = solver.changes(asked, self.costs), solver.changes(asked, self.prices)
            dated = earliest(OneChange(solver), asked, self.days)
            days = {slot: dict(of_slot) for slot, of_slot in dated.items()}
            for slot_code in self.brought:
                days[slot_code][OWN] = self._day_with_own(solver, asked, slot_code)
            return _Found(best, cheapest, days)
        except OutOfTime:
            return State.NOT_YET_KNOWN

    def _day_with_own(self, solver: Solver, asked: Swaps, slot_code: str) -> int | None:
        """The day on which a kit with the customer's own in one slot can be there."""
        days = self.days | {(slot_code, OWN): 0}
        known = sorted(set(days.values()))

        def by_then(day: int) -> bool:
            later = [filled for filled, on in days.items() if on > day]
            return solver.possible({**asked, slot_code: OWN}, later)

        place = bisect_left(known, True, key=by_then)
        return known[place] if place < len(known) else None

    def _through(self, found: _Found | State, slot: SlotRead, key: str) -> Through:
        if isinstance(found, State):
            return Through(found)
        best, cheapest, day = (one[slot.code][key] for one in (found.best, found.cheapest, found.days))
        if isinstance(best, NotYetKnown) or isinstance(cheapest, NotYetKnown) or isinstance(day, NotYetKnown):
            return Through(State.NOT_YET_KNOWN)
        if best is None or cheapest is None or day is None:
            return Through(State.NOT_POSSIBLE)
        if key == OWN and slot.code in self.brought:
            best, cheapest = best - BROUGHT, cheapest - BROUGHT
        if best >= BROUGHT:
            return Through(State.NOT_POSSIBLE)
        return Through(
            state=self.state(best),
            difference=self.difference(best),
            follows=best % UNSURE // FOLLOWING - (key != self.key_in(slot.id)),
            cheapest=self.difference(cheapest),
            ready_on=self._on(day),
        )

    def state(self, cost: int) -> State:
        """What a cost says: whether anything has to be measured first."""
        return State.MEASURE_FIRST if cost >= UNSURE else State.POSSIBLE

    def changed(self, keys: Mapping[str, str], but: Collection[str] = ()) -> tuple[Swapped, ...]:
        """What of a kit is other than now, in the order of the slots; `but` slots do not count."""
        return tuple(
            self._swapped(slot.code, keys[slot.code])
            for slot in self.conversion.slots
            if slot.code not in but and keys[slot.code] != self.key_in(slot.id)
        )

    def difference(self, cost: int) -> Decimal:
        """Against the kit as it is; what has to be measured first, and what follows, is not a price."""
        return Decimal(cost % FOLLOWING - self.cost_now) / CENTS

    def _on(self, day: int) -> date | None:
        return None if day >= NEVER else self.today + timedelta(days=day)

    def _told(self, conflict: Conflict, ways_out: list[WayOut]) -> InTheWay:
        chosen = tuple(self._swapped(code, str(value)) for code, value in conflict.choices.items())
        return InTheWay(chosen, conflict.reasons, tuple(ways_out))

    def _mending(self, solver: Solver, conflict: Conflict) -> list[WayOut]:
        """The ways out of choices that exclude each other: each of them kept in turn, others changed."""
        changes = {}
        for code, value in conflict.choices.items():
            for one in solver.repairs(self.others(code), code, value, WAYS, self.costs_in(solver)):
                changed = {other: str(key) for other, key in one.changes.items()}
                changes[frozenset(changed.items())] = changed
        ways = [way for changed in changes.values() if (way := self._way_out({}, changed))]
        return sorted(ways, key=lambda way: (len(way.changes), len(way.follows), way.difference))[:WAYS]

    def _way_out(self, asked: Swaps, changes: Swaps) -> WayOut | None:
        """The best whole kit with what is asked for, the changes, and all else that was chosen.

        None where only the customer could bring what it lacks; Contradiction where there is none at all.
        """
        answer, cost = self.kept.solver.best({**self.chosen, **changes, **asked}, self.costs)
        cost -= BROUGHT * sum(key == OWN and code in self.brought for code, key in asked.items())
        if cost >= BROUGHT:
            return None
        kit = {slot.code: str(answer[slot.code]) for slot in self.conversion.slots}
        follows = self.changed(kit, but=(*asked, *changes))
        changed = tuple(self._swapped(code, key) for code, key in changes.items())
        last = max(0 if filled[1] == OWN else self.days[filled] for filled in kit.items())
        return WayOut(changed, follows, self.difference(cost), self._on(last), self.state(cost))

    def _swapped(self, slot_code: str, key: str) -> Swapped:
        slot = next(slot for slot in self.conversion.slots if slot.code == slot_code)
        choice = self.choices[slot.id][key]
        numbers = " + ".join(self.conversion.parts[part_id].number for part_id, _ in choice.filling.parts)
        return Swapped(slot_code, slot.name, key, choice.label, numbers or choice.label, agreement(choice))
