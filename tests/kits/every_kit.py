"""Every kit there is of a conversion, judged and priced one by one."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from itertools import combinations, product

from django.utils import timezone

from kits.choices import with_current
from kits.conversion import OWN
from kits.fit import Verdict
from kits.judging import judge_fills
from kits.models import CustomKit
from kits.pricing import slot_price, works_price
from kits.reading import read_kit
from kits.shelf import Stock as Shelf
from kits.whole_kits import State, Swaps

Keys = dict[str, str]


@dataclass(frozen=True)
class Kit:
    """One kit of all there are: what fills it, how many checks wait for a measurement, price, date."""

    keys: Keys
    unsure: int
    price: Decimal
    ready: date | None

    @property
    def state(self) -> State:
        return State.MEASURE_FIRST if self.unsure else State.POSSIBLE

    def differs(self, now: Keys) -> set[str]:
        return {code for code in now if self.keys[code] != now[code]}


class Every:
    """All kits that go or have to be measured first, in which nothing is brought that is not asked for."""

    def __init__(self, kit: CustomKit, now: datetime) -> None:
        self.conversion, fills = read_kit(kit)
        slots = self.conversion.slots
        self.choices = {slot.code: with_current(self.conversion, slot, fills) for slot in slots}
        self.now = {slot.code: fills[slot.id].key for slot in self.conversion.slots}
        chosen = kit.fills.filter(chosen=True).values_list("slot__code", flat=True)
        self.chosen = {code: self.now[code] for code in chosen}
        self.price_now = self._price(self.now)
        self.today = timezone.localdate(now)
        self.kits = list(self._kits(now))

    def _kits(self, now: datetime) -> Iterator[Kit]:
        slots = self.conversion.slots
        choices = [self.choices[slot.code] for slot in slots]
        shelf = Shelf([choice for of_slot in choices for choice in of_slot.values()], now)
        for combination in product(*choices):
            picked = [of_slot[key] for of_slot, key in zip(choices, combination, strict=True)]
            fills = {slot.id: choice.filling for slot, choice in zip(slots, picked, strict=True)}
            judged = judge_fills(self.conversion, fills)
            if judged.verdict is not Verdict.DOES_NOT_GO:
                keys = dict(zip((slot.code for slot in slots), combination, strict=True))
                days = [shelf.ready_on(one) if one.filling.parts else self.today for one in picked]
                known = [day for day in days if day is not None]
                ready = max(known) if len(known) == len(days) else None
                said = [
                    *((f.check, f.verdict) for f in judged.findings),
                    *((r.code, r.verdict) for r in judged.rules),
                ]
                unsure = {code for code, verdict in said if verdict is Verdict.MEASURE_FIRST}
                yield Kit(keys, len(unsure), self._price(keys), ready)

    def _price(self, keys: Keys) -> Decimal:
        picked = {slot: self.choices[slot.code][keys[slot.code]] for slot in self.conversion.slots}
        fills = {slot.id: choice.filling for slot, choice in picked.items()}
        parts = (slot_price(self.conversion, slot, one.filling, one) for slot, one in picked.items())
        return sum(parts, Decimal(0)) + works_price(judge_fills(self.conversion, fills).jobs)

    def with_all(self, asked: Swaps) -> list[Kit]:
        """The best first: fewest checks to measure for, fewest slots otherwise, then the price."""
        found = [kit for kit in self.kits if all(kit.keys[code] == key for code, key in asked.items())]
        found = [k for k in found if not any(self._brought(k, code, asked) for code in self.now)]
        return sorted(found, key=lambda kit: (kit.unsure, len(kit.differs(self.now)), kit.price))

    def _brought(self, kit: Kit, code: str, asked: Swaps) -> bool:
        return kit.keys[code] == OWN != self.now[code] and code not in asked

    def others(self, code: str) -> Keys:
        return {other: key for other, key in self.chosen.items() if other != code}

    def smallest_changes(self, code: str, key: str) -> set[frozenset[str]]:
        """Every set of choices that lifts the block when given up, and no part of which does."""
        others, found = self.others(code), list[frozenset[str]]()
        for size in range(len(others) + 1):
            for given_up in map(frozenset, combinations(others, size)):
                left = {c: k for c, k in others.items() if c not in given_up}
                if not any(one <= given_up for one in found) and self.with_all({**left, code: key}):
                    found.append(given_up)
        return set(found)
