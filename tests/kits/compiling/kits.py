"""Kits filled in any way, judged one by one: what the network has to agree with."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import product
from random import Random

from kits.choices import choices_for
from kits.compiling.network import UNSURE, network_of
from kits.conversion import Conversion, Filling
from kits.fit import Verdict
from kits.judging import judge_fills
from kits.pricing import slot_price, works_price
from kits.solver import Compiled, Contradiction, Cost, compile

Fillings = Mapping[int, Mapping[str, Filling]]


def fillings_of(conversion: Conversion) -> dict[int, dict[str, Filling]]:
    return {
        slot.id: {key: choice.filling for key, choice in choices_for(conversion, slot).items()}
        for slot in conversion.slots
    }


def every_kit(fillings: Fillings) -> Iterator[dict[int, Filling]]:
    for chosen in product(*(one.values() for one in fillings.values())):
        yield dict(zip(fillings, chosen, strict=True))


def some_kits(
    conversion: Conversion, fillings: Fillings, count: int, chance: Random
) -> Iterator[dict[int, Filling]]:
    """The standard kit with a few slots filled otherwise: most differ in what matters."""
    for _ in range(count):
        kit = conversion.default_fills()
        for slot_id in chance.sample(list(fillings), chance.randint(0, 4)):
            kit[slot_id] = chance.choice(list(fillings[slot_id].values()))
        yield kit


@dataclass
class Networked:
    """A conversion's network with every filling at its price."""

    conversion: Conversion
    fillings: Fillings
    solver: Compiled
    costs: dict[Cost, int]

    @classmethod
    def of(cls, conversion: Conversion) -> "Networked":
        fillings = fillings_of(conversion)
        drafted = network_of(conversion, fillings)
        costs: dict[Cost, int] = dict(drafted.costs)
        for slot in conversion.slots:
            for key, choice in choices_for(conversion, slot).items():
                costs[slot.code, key] = int(slot_price(conversion, slot, choice.filling, choice) * 100)
        return cls(conversion, fillings, compile(drafted.network), costs)

    def said(self, kit: Mapping[int, Filling]) -> tuple[str, int | None]:
        """What the network says of a kit: whether it goes, and its price in cents if it does."""
        keys = {slot.code: kit[slot.id].key for slot in self.conversion.slots}
        try:
            _, cost = self.solver.best(keys, self.costs)
        except Contradiction:
            return "does not go", None
        return ("measure first", None) if cost >= UNSURE else ("goes", cost)

    def judged(self, kit: Mapping[int, Filling]) -> tuple[str, int | None]:
        """The same by judging and pricing the kit."""
        judgement = judge_fills(self.conversion, kit)
        if judgement.verdict in (Verdict.DOES_NOT_GO, Verdict.MEASURE_FIRST):
            return judgement.verdict.value, None
        price = works_price(judgement.jobs)
        for slot in self.conversion.slots:
            choice = choices_for(self.conversion, slot)[kit[slot.id].key]
            price += slot_price(self.conversion, slot, choice.filling, choice)
        return "goes", int(price * 100)
