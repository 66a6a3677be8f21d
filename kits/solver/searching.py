"""Exact answers by search, for networks that do not compile: OR-Tools CP-SAT within a time limit.

What is not certain by then is said to be not yet known; it is never guessed. What propagation rules out
is ruled out before anything is searched.
"""

from __future__ import annotations

from collections.abc import Collection, Hashable, Mapping, Sequence
from contextlib import nullcontext, suppress
from dataclasses import dataclass, field, replace
from typing import ClassVar

import numpy as np

from kits.solver.answers import Conflict, Engine, MaybeOptions, NotYetKnown, Repair
from kits.solver.building import Built, Numbering, build_what_fits
from kits.solver.caching import Cache
from kits.solver.changing import one_by_one
from kits.solver.consistency import full_domains, narrow
from kits.solver.costing import Costing, settle
from kits.solver.errors import Barred, Contradiction, NetworkError, NotCounted, OutOfTime
from kits.solver.explaining import explain, refuting
from kits.solver.limiting import Budget
from kits.solver.modelling import Answer, Model
from kits.solver.network import Choices, Cost, Network, check_choices
from kits.solver.passes import Floats
from kits.solver.relations import Mask
from kits.solver.repairing import repair
from kits.solver.weighing import weigh


@dataclass(frozen=True, eq=False)
class Search:
    """The engine that searches; as Compiled, but for its time limit.

    Each call takes `seconds` at the most, by the library's own measure of its work (see limiting.py).
    `built` are the relations of those constraints that have few enough rows, to narrow with.
    """

    engine: ClassVar[Engine] = "search"
    network: Network
    numbering: Numbering
    built: Built
    seconds: float
    models: Cache[str, Model] = field(default_factory=Cache, repr=False)
    budget: Budget | None = None

    @classmethod
    def of(cls, network: Network, cap: int, seconds: float) -> Search:
        """Ready to search a network; `cap` bounds the rows of the relations to narrow with."""
        numbering = Numbering.of(network)
        return cls(network, numbering, build_what_fits(network, numbering, cap), checked(seconds))

    def within(self, seconds: float) -> Search:
        """The same engine with another time limit."""
        return replace(self, seconds=checked(seconds), budget=None)

    def engine_for(self, choices: Choices) -> Engine:
        """Always itself."""
        self._check(choices)
        return self.engine

    def options(
        self, choices: Choices, costs: Mapping[Cost, int] | None = None, barred: Collection[Cost] = ()
    ) -> MaybeOptions:
        """As Compiled.options; NOT_YET_KNOWN where a value's least cost was not certain in time."""
        return self.limited().options_of(self.numbering.names, choices, costs, barred)

    def options_of(
        self,
        names: Sequence[str],
        choices: Choices,
        costs: Mapping[Cost, int] | None,
        barred: Collection[Cost],
    ) -> dict[str, dict[Hashable, int | NotYetKnown | None]]:
        """The options of some of the variables."""
        self._check(choices)
        weights, budget = weigh(self.network, self.numbering, costs, barred), self._left()
        kept = self._costing(choices, names, weights)
        changed = {name: self._costing(_without(choices, name), [name], weights) for name in choices}
        costings = [kept, *(changed[name] for name in names if name in choices)]
        kept.start(budget)
        self._refuse(kept, choices, barred)
        settle(costings, budget)
        self._refuse(kept, choices, barred)
        return {
            name: {
                value: (kept if choices.get(name, value) == value else changed[name]).found(
                    self.numbering.place(name, value)
                )
                for value in self.network.variables[name]
            }
            for name in names
        }

    def changes(
        self, choices: Choices, costs: Mapping[Cost, int] | None = None, barred: Collection[Cost] = ()
    ) -> MaybeOptions:
        """As Compiled.changes; NOT_YET_KNOWN where a value's least cost was not certain in time."""
        return one_by_one(self, choices, costs, barred)

    def possible(self, choices: Choices, barred: Collection[Cost] = ()) -> bool:
        """Whether there is a whole answer with these choices and without what is barred.

        OutOfTime where that is not certain in time.
        """
        return self.cheapest(choices, weigh(self.network, self.numbering, {}, barred)) is not None

    def count(self, choices: Choices) -> int:
        """Raises NotCounted: a search does not count."""
        self._check(choices)
        raise NotCounted("the network is too large to count its answers; make more choices first")

    def best(
        self, choices: Choices, costs: Mapping[Cost, int] | None = None, barred: Collection[Cost] = ()
    ) -> tuple[dict[str, Hashable], int]:
        """As Compiled.best; OutOfTime where none was certain to be cheapest in time."""
        limited = self.limited()
        found = limited.cheapest(choices, weigh(self.network, self.numbering, costs, barred))
        if found is None:
            raise Barred(barred) if limited.possible(choices) else Contradiction(limited.conflict(choices))
        return found

    def conflict(self, choices: Choices, variable: str | None = None, value: Hashable = None) -> Conflict:
        """As Compiled.conflict; OutOfTime where it was not certain in time."""
        return explain(self.limited(), choices, variable, value)

    def repairs(
        self,
        choices: Choices,
        variable: str,
        value: Hashable,
        n: int,
        costs: Mapping[Cost, int] | None = None,
        change_costs: Mapping[str, int] | None = None,
    ) -> list[Repair]:
        """As Compiled.repairs; OutOfTime where they were not certain in time."""
        return repair(self.limited(), choices, variable, value, n, costs, change_costs)

    def cheapest(self, choices: Choices, weights: Floats) -> tuple[dict[str, Hashable], int] | None:
        """As Compiled.cheapest; OutOfTime where it was not certain in time."""
        self._check(choices)
        allowed = self._allowed(choices, weights)
        if not allowed:
            return None
        costs = [int(w) if np.isfinite(w) else 0 for w in weights]
        answer = self._certain(self._model(), allowed, costs)
        if answer is None:
            return None
        values = zip(self.network.variables.items(), answer, strict=True)
        places = zip(self.numbering.offsets.tolist(), answer, strict=False)
        total = sum(costs[offset + place] for offset, place in places)
        return {name: known[place] for (name, known), place in values}, total

    def suspects(self, fixed: Choices, among: Sequence[int]) -> list[int] | None:
        """Those of some constraints that plainly refute the fixed values; None where it is not plain."""
        return refuting(self.built, self.numbering, fixed, among)

    def satisfiable(self, fixed: Choices, places: Sequence[int]) -> bool:
        """Whether just these constraints leave an answer with the fixed values."""
        everything = range(int(self.numbering.offsets[-1]))
        allowed = [place for place in everything if self._chosen(fixed)[place]]
        return self._certain(Model(self.network, self.numbering, places), allowed, None) is not None

    def free(self) -> Floats:
        """A weight of nothing for every value."""
        return np.zeros(int(self.numbering.offsets[-1]))

    def limited(self) -> Search:
        """Itself with a budget that all that follows draws on."""
        return self if self.budget is not None else replace(self, budget=Budget(self.seconds))

    def narrowed(self, choices: Choices) -> dict[str, tuple[Hashable, ...]] | None:
        """The values of each variable that propagation leaves; None where it leaves no answer."""
        allowed = set(self._allowed(choices, self.free()))
        place = self.numbering.place
        return {
            name: tuple(value for value in values if place(name, value) in allowed)
            for name, values in self.network.variables.items()
        } if allowed else None  # fmt: skip

    def _certain(self, model: Model, allowed: list[int], costs: list[int] | None) -> Answer | None:
        budget = self._left()
        if budget.seconds:
            outcome = model.solve(allowed, budget.seconds, costs)
            budget.spend(outcome.work)
            if outcome.certain:
                return outcome.answer
        raise OutOfTime("the time limit passed before the answer was certain; give it more seconds")

    def _refuse(self, kept: Costing, choices: Choices, barred: Collection[Cost]) -> None:
        """Raise Contradiction where there is nothing, and not because of what is barred."""
        if not kept.nothing:
            return
        with suppress(OutOfTime) if barred else nullcontext():
            if not self.possible(choices):
                raise Contradiction(self.conflict(choices))

    def _costing(self, choices: Choices, names: Sequence[str], weights: Floats) -> Costing:
        asked = (place for name in names for place in range(*self.numbering.span(name)))
        allowed = self._allowed(choices, weights)
        return Costing(self._model(), allowed, asked, weights, self.numbering.offsets)

    def _allowed(self, choices: Choices, weights: Floats) -> list[int]:
        """The numbers of the values that propagation leaves; none where it leaves no answer."""
        offsets, domains = self.numbering.offsets, full_domains(self.built.sizes)
        visible = self._chosen(choices) & np.isfinite(weights)
        domains[: len(offsets) - 1] = np.split(visible, offsets[1:-1])
        if not all(domain.any() for domain in domains) or not narrow(self.built.relations, domains):
            return []
        left = np.concatenate(domains[: len(offsets) - 1])
        return [int(place) for place in np.flatnonzero(left)]

    def _chosen(self, choices: Choices) -> Mask:
        """Every value, by number, that no choice excludes."""
        chosen = np.ones(int(self.numbering.offsets[-1]), np.bool_)
        for name, value in choices.items():
            chosen[slice(*self.numbering.span(name))] = False
            chosen[self.numbering.place(name, value)] = True
        return chosen

    def _model(self) -> Model:
        model = self.models.get("whole")
        if model is None:
            model = Model(self.network, self.numbering, range(len(self.network.constraints)))
            self.models["whole"] = model
        return model

    def _left(self) -> Budget:
        return self.budget if self.budget is not None else Budget(self.seconds)

    def _check(self, choices: Choices) -> None:
        check_choices(self.network, choices)


def checked(seconds: float) -> float:
    """Raise unless it is a number of seconds."""
    if not isinstance(seconds, int | float) or not seconds >= 0:
        raise NetworkError(f"a time limit is a number of seconds of 0 or more, not {seconds!r}")
    return seconds


def _without(choices: Choices, name: str) -> dict[str, Hashable]:
    return {other: value for other, value in choices.items() if other != name}
