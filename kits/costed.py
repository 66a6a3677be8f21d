"""The choices of one custom kit, and what every filling costs and when it is there, for the solver."""

from __future__ import annotations

from datetime import date, datetime
from functools import cached_property
from typing import Final

from django.utils import timezone

from kits.choices import Choice, with_current
from kits.compiling.keeping import Kept, kept_for
from kits.compiling.network import UNSURE
from kits.conversion import EMPTY, OWN, PARTS
from kits.models import CustomKit, Fill
from kits.pricing import slot_price, works_price
from kits.reading import read_kit
from kits.shelf import Stock
from kits.solver import Cost, Solver
from kits.ways import Swaps
from kits.whatif import WhatIf

CENTS: Final = 100
FOLLOWING: Final = 10**8  # for each slot that follows: cents, more than any kit costs, far below UNSURE
BROUGHT: Final = 100 * UNSURE  # for the customer's own where nobody asked for it
NEVER: Final = 10_000  # days; what has no date is as good as never there


class Costed:
    """One custom kit as chosen, priced and stocked now."""

    def __init__(self, kit: CustomKit, now: datetime) -> None:
        self.conversion, self.fills = read_kit(kit)
        self.now = now
        chosen = set(Fill.objects.filter(kit=kit, chosen=True).values_list("slot_id", flat=True))
        self.chosen = {slot.code: self.key_in(slot.id) for slot in self.conversion.slots if slot.id in chosen}
        self.choices = {slot.id: self._with_current(slot.id) for slot in self.conversion.slots}

    @cached_property
    def kept(self) -> Kept:
        """The network of this kit; the customer's own sizes are part of it."""
        fillings = {i: {k: c.filling for k, c in of_slot.items()} for i, of_slot in self.choices.items()}
        return kept_for(self.conversion, fillings)

    def without_brought(self, but: str = "") -> Kept:
        """The same without what only the customer could bring, `but` in one slot: for conflicts."""
        brought = self.brought - {but}
        fillings = {
            slot.id: {
                key: choice.filling
                for key, choice in self.choices[slot.id].items()
                if key != OWN or slot.code not in brought
            }
            for slot in self.conversion.slots
        }
        return kept_for(self.conversion, fillings, among=self.kept)

    def costs_in(self, solver: Solver) -> dict[Cost, int]:
        """The costs of what a network has."""
        values = solver.network.variables
        return {one: cost for one, cost in self.costs.items() if one[1] in values.get(one[0], ())}

    @cached_property
    def brought(self) -> frozenset[str]:
        """The slots that the customer's own could fill, and does not."""
        slots = self.conversion.slots
        return frozenset(s.code for s in slots if OWN in self.choices[s.id] and self.key_in(s.id) != OWN)

    @cached_property
    def whatif(self) -> WhatIf:
        """The kit as it is judged now, and as it would be with one slot filled otherwise."""
        return WhatIf(self.conversion, self.fills)

    @cached_property
    def stock(self) -> Stock:
        """What is free of everything on offer, and from when."""
        return Stock([c for of_slot in self.choices.values() for c in of_slot.values()], self.now)

    @cached_property
    def costs(self) -> dict[Cost, int]:
        """What makes one whole kit better than another: fewest slots that follow, then the price."""
        costs = dict(self.prices)
        for slot in self.conversion.slots:
            for key in self.choices[slot.id]:
                if key != self.key_in(slot.id):
                    costs[slot.code, key] += FOLLOWING
        return costs

    @cached_property
    def prices(self) -> dict[Cost, int]:
        """Every filling at its price now, in cents, and the works."""
        prices: dict[Cost, int] = dict(self.kept.costs)
        for slot in self.conversion.slots:
            for key, choice in self.choices[slot.id].items():
                price = slot_price(self.conversion, slot, choice.filling, choice)
                prices[slot.code, key] = int(price * CENTS)
        prices.update({(slot_code, OWN): BROUGHT for slot_code in self.brought})
        return prices

    @cached_property
    def cost_now(self) -> int:
        """The kit as it is, in cents, with the works that it needs, whether or not it goes."""
        parts = sum(self.prices[slot.code, self.key_in(slot.id)] for slot in self.conversion.slots)
        return parts + int(works_price(self.whatif.now.jobs) * CENTS)

    @cached_property
    def days(self) -> dict[Cost, int]:
        """How many days from now until each filling is there."""
        days: dict[Cost, int] = {}
        for slot in self.conversion.slots:
            for key, choice in self.choices[slot.id].items():
                ready = self.stock.ready_on(choice) if choice.filling.how == PARTS else self.today
                days[slot.code, key] = NEVER if ready is None else max((ready - self.today).days, 0)
        days.update({(slot_code, OWN): NEVER for slot_code in self.brought})
        return days

    @cached_property
    def today(self) -> date:
        return timezone.localdate(self.now)

    def others(self, slot_code: str) -> Swaps:
        return {code: key for code, key in self.chosen.items() if code != slot_code}

    def key_in(self, slot_id: int) -> str:
        return self.fills.get(slot_id, EMPTY).key

    def _with_current(self, slot_id: int) -> dict[str, Choice]:
        return with_current(self.conversion, self.conversion.slot_by_id[slot_id], self.fills)
