"""Ways out: the cheapest smallest sets of earlier choices to change, so that a value becomes possible.

Best first. Where the cheapest answer changes the set S, what else there is either keeps the first of S,
or changes the first and keeps the second, and so on: parts without overlap, each searched in turn.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterator, Mapping
from dataclasses import dataclass, field
from heapq import heappop, heappush
from itertools import count
from typing import Protocol

import numpy as np

from kits.solver.answers import Repair
from kits.solver.building import Numbering
from kits.solver.errors import NetworkError
from kits.solver.network import (
    LARGEST_TOTAL,
    Choices,
    Cost,
    Network,
    check_choice,
    check_choices,
    check_variable,
)
from kits.solver.passes import Floats


class Repairable(Protocol):
    """What an engine must be able to say, so that its ways out can be found."""

    @property
    def network(self) -> Network: ...

    @property
    def numbering(self) -> Numbering: ...

    def possible(self, choices: Choices) -> bool:
        """Whether there is a whole answer with these choices."""

    def best(
        self, choices: Choices, costs: Mapping[Cost, int] | None = None
    ) -> tuple[dict[str, Hashable], int]:
        """A cheapest whole answer and its cost."""

    def cheapest(self, choices: Choices, weights: Floats) -> tuple[dict[str, Hashable], int] | None:
        """As `best`, with a weight for every value by its number; None where there is no answer."""

    def free(self) -> Floats:
        """A weight of nothing for every value."""


@dataclass(order=True, frozen=True)
class _Part:
    """Answers that keep some choices and change others, by the least cost of the changes in it."""

    cost: int
    number: int
    changes: tuple[str, ...] = field(compare=False)
    kept: frozenset[str] = field(compare=False)
    changed: frozenset[str] = field(compare=False)


def repair(
    engine: Repairable,
    choices: Choices,
    variable: str,
    value: Hashable,
    n: int,
    costs: Mapping[Cost, int] | None,
    change_costs: Mapping[str, int] | None,
) -> list[Repair]:
    """The n cheapest; see Compiled.repairs."""
    check_choices(engine.network, choices)
    check_choice(engine.network, variable, value)
    for name in change_costs or ():
        check_variable(engine.network, name)
    if not isinstance(n, int) or n < 1:
        raise NetworkError(f"ask for one repair or more, not {n}")
    earlier = {name: chosen for name, chosen in choices.items() if name != variable}
    search = _Search(engine, earlier, {variable: value}, _change_costs(earlier, change_costs))
    found = []
    for changes, cost in search.sets():
        found.append(search.repair(changes, cost, costs))
        if len(found) == n:
            break
    return found


class _Search:
    def __init__(
        self, engine: Repairable, earlier: Choices, target: Choices, change_costs: Mapping[str, int]
    ) -> None:
        self.engine, self.earlier, self.target = engine, earlier, target
        self.change_costs = change_costs
        self.weights = engine.free()
        for name, chosen in earlier.items():
            start, end = engine.numbering.span(name)
            self.weights[start:end] = change_costs[name]
            self.weights[engine.numbering.place(name, chosen)] = 0

    def sets(self) -> Iterator[tuple[tuple[str, ...], int]]:
        """Smallest sets of changed choices with their cost, cheapest first."""
        waiting: list[_Part] = []
        numbers = count()

        def look_into(kept: frozenset[str], changed: frozenset[str]) -> None:
            part = self._cheapest(next(numbers), kept, changed)
            if part is not None:
                heappush(waiting, part)

        look_into(frozenset(), frozenset())
        while waiting:
            part = heappop(waiting)
            if self._smallest(part.changes):
                yield part.changes, part.cost
            changed = part.changed
            for name in part.changes:
                if name not in part.changed:
                    look_into(part.kept | {name}, changed)
                    changed |= {name}

    def repair(self, changes: tuple[str, ...], cost: int, costs: Mapping[Cost, int] | None) -> Repair:
        """What the changed choices change to, at the least cost of the whole."""
        answer, total = self.engine.best(self._without(changes), costs)
        return Repair({name: answer[name] for name in changes}, cost, total)

    def _cheapest(self, number: int, kept: frozenset[str], changed: frozenset[str]) -> _Part | None:
        weights = self.weights.copy()
        for name in changed:
            weights[self.engine.numbering.place(name, self.earlier[name])] = np.inf
        fixed = {name: self.earlier[name] for name in self.earlier if name in kept}
        found = self.engine.cheapest(fixed | dict(self.target), weights)
        if found is None:
            return None
        answer, cost = found
        changes = tuple(name for name in self.earlier if answer[name] != self.earlier[name])
        return _Part(cost, number, changes, kept, changed)

    def _smallest(self, changes: tuple[str, ...]) -> bool:
        """Whether none of the changes could be left out."""
        return not any(
            self.engine.possible(self._without(tuple(name for name in changes if name != spared)))
            for spared in changes
        )

    def _without(self, changes: tuple[str, ...]) -> dict[str, Hashable]:
        return {k: v for k, v in self.earlier.items() if k not in changes} | dict(self.target)


def _change_costs(earlier: Choices, given: Mapping[str, int] | None) -> dict[str, int]:
    found = {name: (given or {}).get(name, 1) for name in earlier}
    for name, cost in found.items():
        if not isinstance(cost, int) or isinstance(cost, bool) or cost < 1:
            raise NetworkError(f"what changing {name} costs is a whole number of 1 or more, not {cost!r}")
    if sum(found.values()) > LARGEST_TOTAL:
        raise NetworkError("what the changes cost is too large to add up exactly; give it in a larger unit")
    return found
