"""What the search for whole-kit targets is asked: parts, kits that need them, and what money means."""

from __future__ import annotations

import math
from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Generic, TypeVar

from inventory.planning.figures import whole
from inventory.planning.ordering import PlanningError

P = TypeVar("P", bound=Hashable)

# Probabilities that were reckoned with floats sum to 1 within this.
ROUNDING = 1e-6


class Money(StrEnum):
    """What is least for the wanted share: `ON_HAND` (the default) or `LEVEL`.

    ON_HAND is the expected free stock on the shelf times its cost; what stands aside for kits that wait for
    another part is not in it. LEVEL is the level times the cost: the most that can ever lie there.
    """

    ON_HAND = "on hand"
    LEVEL = "level"


@dataclass(frozen=True)
class KitPart(Generic[P]):
    """A part and how it is bought.

    `lead_days` runs from seeing the need to the part on the shelf, the days between two reviews included:
    one figure, or {days: probability}. `loose` is the distribution, from 0 pieces up, of what anything but
    the given kits takes in that time. Bought in whole packs of `pack`; the level is at least `least` and at
    most `most`, the shelf's limit.
    """

    part: P
    cost_cents: int
    lead_days: float | Mapping[float, float]
    loose: Sequence[float] = (1.0,)
    pack: int = 1
    least: int = 0
    most: int | None = None

    def __post_init__(self) -> None:
        of = f"of part {self.part!r}"
        whole(self.cost_cents, f"The cost in cents {of}")
        whole(self.pack, f"The pack {of}", 1)
        whole(self.least, f"The least level {of}")
        if self.most is not None:
            whole(self.most, f"The most level {of}", self.least)
        for days in self.leads:
            positive(days, f"The lead days {of}", zero=True)
        _distribution(self.leads.values(), f"The lead days {of}")
        _distribution(self.loose, f"The loose demand {of}")

    @property
    def leads(self) -> Mapping[float, float]:
        """{days: probability}, also where one figure was given."""
        return self.lead_days if isinstance(self.lead_days, Mapping) else {self.lead_days: 1.0}

    @property
    def mean_lead(self) -> float:
        return sum(days * share for days, share in self.leads.items())


@dataclass(frozen=True)
class Need:
    """So many pieces of a part in a kit, in a share `take_rate` of the kits sold."""

    quantity: int = 1
    take_rate: float = 1.0


@dataclass(frozen=True)
class Option(Generic[P]):
    """What fills a slot in a share `take_rate` of the kits: {part: pieces}, several if they go together."""

    take_rate: float
    parts: Mapping[P, int]


@dataclass(frozen=True)
class KitDemand(Generic[P]):
    """A kit that sells `a_year`, and the parts that it needs.

    `needs` are the parts that come with a take rate each of its own; each of `choices` is a slot of which at
    most one option is taken, so that their rates sum to at most 1. A part may stand in both.
    `variance_ratio` above 1 means that orders come in clumps: in any stretch of time their number is
    negative binomial with that ratio of variance to mean; at 1 it is Poisson. `weight` says how much a
    complete kit counts for in the share: its yearly number unless given. A part's loose sales may be given as
    a kit of one part, with weight 0 where their service does not count.
    """

    name: str
    a_year: float
    needs: Mapping[P, Need | int] = field(default_factory=dict)
    choices: Sequence[Sequence[Option[P]]] = ()
    variance_ratio: float = 1.0
    weight: float | None = None

    def __post_init__(self) -> None:
        of = f"of kit {self.name}"
        positive(self.a_year, f"The yearly number {of}")
        positive(self.variance_ratio - 1, f"The variance ratio {of}, less 1", zero=True)
        positive(self.counts_for, f"The weight {of}", zero=True)
        if not self.slots:
            raise PlanningError(f"Kit {self.name} needs no parts: name at least one.")
        for slot in self.slots:
            for option in slot:
                positive(option.take_rate, f"A take rate {of}")
                for part, quantity in option.parts.items():
                    whole(quantity, f"The pieces of {part!r} {of}", 1)
            if sum(option.take_rate for option in slot) > 1 + ROUNDING:
                raise PlanningError(f"The take rates of one slot {of} sum to more than 1.")

    @property
    def counts_for(self) -> float:
        return self.a_year if self.weight is None else self.weight

    @property
    def slots(self) -> list[list[Option[P]]]:
        """Every need as a slot with one option, and then the choices."""
        needs = [(part, need if isinstance(need, Need) else Need(need)) for part, need in self.needs.items()]
        single = [[Option(need.take_rate, {part: need.quantity})] for part, need in needs]
        return [*single, *(list(slot) for slot in self.choices)]


def check(parts: Sequence[KitPart[P]], kits: Sequence[KitDemand[P]]) -> None:
    """Raises PlanningError where parts and kits do not belong together."""
    known = {one.part for one in parts}
    if len(known) < len(parts) or len({kit.name for kit in kits}) < len(kits):
        raise PlanningError("A part or a kit is given twice: give each once.")
    if not any(kit.counts_for > 0 for kit in kits):
        raise PlanningError("No kit counts for anything: give at least one kit that sells.")
    for kit in kits:
        for part in {part for slot in kit.slots for option in slot for part in option.parts} - known:
            raise PlanningError(f"Kit {kit.name} needs part {part!r}, which is not among the parts.")


def positive(value: float, what: str, *, zero: bool = False) -> None:
    """Raises PlanningError unless `value` is a finite figure above 0, or 0 where `zero` allows it."""
    if not math.isfinite(value) or value < 0 or (value == 0 and not zero):
        raise PlanningError(f"{what}: a figure {'of at least' if zero else 'above'} 0, not {value!r}.")


def _distribution(values: Iterable[float], what: str) -> None:
    figures = list(values)
    if not figures or min(figures) < 0 or abs(math.fsum(figures) - 1) > ROUNDING:
        raise PlanningError(f"{what}: probabilities that sum to 1, not {figures!r:.80}.")
