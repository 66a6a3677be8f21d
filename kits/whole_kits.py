"""Which whole kits are still there: through every candidate the best one, or what is in the way.

What the counter chose is kept; every other slot may follow. A candidate is possible if some whole kit has
it together with all that was chosen, goes together or goes with work; it is sure only if nothing has to be
measured first. The best of several is the one in which fewest slots follow, then the cheapest: nobody
wants another pump because it is cheaper.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal
from enum import Enum
from functools import cached_property
from typing import Final

from django.utils import timezone

from kits.choices import Choice, with_current
from kits.compiling.keeping import Kept, kept_for
from kits.compiling.network import UNSURE
from kits.conversion import EMPTY, PARTS, SlotRead
from kits.models import CustomKit, Fill
from kits.pricing import slot_price
from kits.reading import read_kit
from kits.shelf import Stock
from kits.solver import Contradiction, Cost, MaybeOptions, NotYetKnown, earliest

_CENTS: Final = 100
_FOLLOWING: Final = 10**8  # for each slot that follows: cents, more than any kit costs, far below UNSURE
_NEVER: Final = 10_000  # days; what has no date is as good as never there
Swaps = Mapping[str, str]  # slot code to key


class State(Enum):
    """Whether some whole kit has a candidate beside what was chosen."""

    POSSIBLE = "possible"
    MEASURE_FIRST = "measure first"
    NOT_POSSIBLE = "not possible"
    NOT_YET_KNOWN = "not yet known"


@dataclass(frozen=True)
class Through:
    """The whole kits through one candidate, against the kit as it is.

    `difference` is the price of the best one less that of the kit as it is, `follows` how many other
    slots it changes; `cheapest` is the difference of the cheapest one. They are None where there is no
    whole kit, and where the kit as it is has no price because it does not go. `ready_on` is the first day
    on which all parts of some whole kit through it are there.
    """

    state: State
    difference: Decimal | None = None
    follows: int | None = None
    cheapest: Decimal | None = None
    ready_on: date | None = None


@dataclass(frozen=True)
class Swapped:
    """One slot filled otherwise, in words and as it is asked for."""

    slot: str
    name: str
    key: str
    label: str


@dataclass(frozen=True)
class WayOut:
    """Changes, the fewest of their kind, with which a candidate goes into a whole kit.

    `changes` are chosen slots that must change, `follows` others that follow; `difference` is that of
    the whole kit's price.
    """

    changes: tuple[Swapped, ...]
    follows: tuple[Swapped, ...]
    difference: Decimal | None


@dataclass(frozen=True)
class InTheWay:
    """Why a candidate is not possible: what was chosen and cannot stay, the checks and rules, ways out."""

    chosen: tuple[Swapped, ...]
    reasons: tuple[str, ...]
    ways_out: tuple[WayOut, ...]


@dataclass(frozen=True)
class _Found:
    """What the solver says of every candidate: of the best whole kit, the cheapest, the earliest."""

    best: MaybeOptions
    cheapest: MaybeOptions
    days: MaybeOptions


class WholeKits:
    """The whole kits of one custom kit, as chosen, priced and stocked now."""

    def __init__(self, kit: CustomKit, now: datetime) -> None:
        self.conversion, self.fills = read_kit(kit)
        self.now = now
        chosen = set(Fill.objects.filter(kit=kit, chosen=True).values_list("slot_id", flat=True))
        self.chosen = {slot.code: self._key(slot.id) for slot in self.conversion.slots if slot.id in chosen}
        self.choices = {slot.id: self._with_current(slot.id) for slot in self.conversion.slots}

    def through(self) -> Mapping[str, Mapping[str, Through]]:
        """By slot and key. Where the choices themselves exclude each other nothing is possible."""
        solver, asked = self.kept.solver, self.chosen
        try:
            found = _Found(
                best=solver.options(asked, self.costs),
                cheapest=solver.options(asked, self._prices),
                days=earliest(solver, asked, self._days),
            )
        except Contradiction:
            found = _Found({}, {}, {})
        return {
            slot.code: {key: self._through(found, slot.code, key) for key in self.choices[slot.id]}
            for slot in self.conversion.slots
        }

    def in_the_way(self, slot_code: str, key: str, ways: int = 3) -> InTheWay:
        """Why that candidate is not possible, and the cheapest ways out."""
        solver, others = self.kept.solver, {k: v for k, v in self.chosen.items() if k != slot_code}
        conflict = solver.conflict(others, slot_code, key)
        repairs = solver.repairs(others, slot_code, key, ways, self.costs)
        return InTheWay(
            chosen=tuple(self._swapped(code, str(value)) for code, value in conflict.choices.items()),
            reasons=conflict.reasons,
            ways_out=tuple(
                self._way_out(slot_code, key, {code: str(value) for code, value in one.changes.items()})
                for one in repairs
            ),
        )

    def excluding_each_other(self) -> InTheWay | None:
        """What of the choices themselves excludes each other; None where a whole kit has them all."""
        if self.kept.solver.possible(self.chosen):
            return None
        conflict = self.kept.solver.conflict(self.chosen)
        blamed = tuple(self._swapped(code, str(value)) for code, value in conflict.choices.items())
        return InTheWay(blamed, conflict.reasons, ())

    def cheapest_with(self, slot_code: str, key: str) -> WayOut | None:
        """What else changes in the cheapest whole kit with a candidate; None where there is none."""
        if not self.kept.solver.possible({**self.chosen, slot_code: key}):
            return None
        return self._way_out(slot_code, key, {})

    @cached_property
    def kept(self) -> Kept:
        """The network of this kit; the customer's own sizes are part of it."""
        fillings = {i: {k: c.filling for k, c in of_slot.items()} for i, of_slot in self.choices.items()}
        return kept_for(self.conversion, fillings)

    @cached_property
    def costs(self) -> dict[Cost, int]:
        """What makes one whole kit better than another: fewest slots that follow, then the price."""
        costs = dict(self._prices)
        for slot in self.conversion.slots:
            for key in self.choices[slot.id]:
                if key != self._key(slot.id):
                    costs[slot.code, key] += _FOLLOWING
        return costs

    @cached_property
    def _prices(self) -> dict[Cost, int]:
        """Every filling at its price now, in cents, and the works."""
        prices: dict[Cost, int] = dict(self.kept.costs)
        for slot in self.conversion.slots:
            for key, choice in self.choices[slot.id].items():
                price = slot_price(self.conversion, slot, choice.filling, choice)
                prices[slot.code, key] = int(price * _CENTS)
        return prices

    @cached_property
    def _cost_now(self) -> int | None:
        """The kit as it is, in cents; None where it is no whole kit."""
        keys = {slot.code: self._key(slot.id) for slot in self.conversion.slots}
        try:
            return self.kept.solver.best(keys, self._prices)[1] % UNSURE
        except Contradiction:
            return None

    @cached_property
    def _days(self) -> dict[Cost, int]:
        """How many days from now until each filling is there."""
        stock = Stock([c for of_slot in self.choices.values() for c in of_slot.values()], self.now)
        days: dict[Cost, int] = {}
        for slot in self.conversion.slots:
            for key, choice in self.choices[slot.id].items():
                ready = stock.ready_on(choice) if choice.filling.how == PARTS else self._today
                days[slot.code, key] = _NEVER if ready is None else max((ready - self._today).days, 0)
        return days

    @cached_property
    def _today(self) -> date:
        return timezone.localdate(self.now)

    def _through(self, found: _Found, slot_code: str, key: str) -> Through:
        best, cheapest, day = (
            one.get(slot_code, {}).get(key) for one in (found.best, found.cheapest, found.days)
        )
        if isinstance(best, NotYetKnown) or isinstance(cheapest, NotYetKnown) or isinstance(day, NotYetKnown):
            return Through(State.NOT_YET_KNOWN)
        if best is None or cheapest is None or day is None:
            return Through(State.NOT_POSSIBLE)
        return Through(
            state=State.MEASURE_FIRST if best >= UNSURE else State.POSSIBLE,
            difference=self._difference(best),
            follows=best % UNSURE // _FOLLOWING - (key != self._key(self._slot(slot_code).id)),
            cheapest=self._difference(cheapest),
            ready_on=None if day >= _NEVER else self._today + timedelta(days=day),
        )

    def _difference(self, cost: int) -> Decimal | None:
        """Against the kit as it is; what has to be measured first, and what follows, is not a price."""
        if self._cost_now is None:
            return None
        return Decimal(cost % _FOLLOWING - self._cost_now) / _CENTS

    def _way_out(self, slot_code: str, key: str, changes: Swaps) -> WayOut:
        """The cheapest whole kit with a candidate, the changes, and all else that was chosen."""
        fixed = {**self.chosen, **changes, slot_code: key}
        answer, cost = self.kept.solver.best(fixed, self.costs)
        follows = tuple(
            self._swapped(slot.code, str(answer[slot.code]))
            for slot in self.conversion.slots
            if slot.code not in (slot_code, *changes) and answer[slot.code] != self._key(slot.id)
        )
        changed = tuple(self._swapped(code, value) for code, value in changes.items())
        return WayOut(changed, follows, self._difference(cost))

    def _swapped(self, slot_code: str, key: str) -> Swapped:
        slot = self._slot(slot_code)
        return Swapped(slot_code, slot.name, key, self.choices[slot.id][key].label)

    def _key(self, slot_id: int) -> str:
        return self.fills.get(slot_id, EMPTY).key

    def _with_current(self, slot_id: int) -> dict[str, Choice]:
        return with_current(self.conversion, self.conversion.slot_by_id[slot_id], self.fills)

    def _slot(self, slot_code: str) -> SlotRead:
        return next(slot for slot in self.conversion.slots if slot.code == slot_code)
