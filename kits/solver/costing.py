"""The least cost through each value, one minimisation after the other, until the time is up.

Every whole answer that turns up is used for all of its values: it proves them possible, bounds their
costs from above, and settles them where it costs no more than any answer must.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Collection, Iterable, Sequence
from math import inf
from typing import Final

import numpy as np

from kits.solver.answers import NOT_YET_KNOWN, NotYetKnown
from kits.solver.limiting import Budget
from kits.solver.modelling import Answer, Model, Outcome
from kits.solver.passes import Floats
from kits.solver.relations import Ints

_ROUNDS: Final = 2  # A value that took too long is asked again with what the others left over.


class Costing:
    """Answers within some values, and what is known of the least cost through each value asked.

    `allowed` are the numbers of the values that answers may use: none at all is a contradiction.
    """

    def __init__(
        self, model: Model, allowed: Collection[int], asked: Iterable[int], weights: Floats, offsets: Ints
    ) -> None:
        self.model, self.allowed, self.offsets = model, sorted(allowed), offsets.tolist()
        self.costs: Sequence[int] = [int(w) if np.isfinite(w) else 0 for w in weights]
        there = set(self.allowed)
        self.known: dict[int, int | None] = {}
        self.waiting: dict[int, None] = {}
        for place in asked:
            if place in there:
                self.waiting[place] = None
            else:
                self.known[place] = None
        self.nearest: dict[int, tuple[int, Answer]] = {}
        self.least: int | None = None  # No answer costs less; None while that is not known.

    def start(self, budget: Budget) -> None:
        """Look for a cheapest answer at all."""
        if not self.waiting or not budget.seconds or self.least is not None:
            return
        outcome = self.model.solve(self.allowed, budget.share(2), self.costs)
        if outcome.certain and outcome.answer is not None:
            self.least = self._cost(outcome.answer)
        self._learn(outcome, budget)
        if outcome.certain and outcome.answer is None:
            self._settle(dict.fromkeys(self.waiting))

    def prove(self, place: int, pending: int, budget: Budget) -> None:
        """Look for any answer through a value of which none is known."""
        if place in self.waiting and place not in self.nearest and budget.seconds:
            outcome = self.model.solve(self._through(place), budget.share(pending), None, self._unseen(place))
            self._learn(outcome, budget)
            if outcome.certain and outcome.answer is None:
                self._settle({place: None})

    def cost(self, place: int, pending: int, budget: Budget) -> None:
        """Look for a cheapest answer through a value that is known to have one."""
        if place in self.waiting and place in self.nearest and budget.seconds:
            hint = self.nearest[place][1]
            outcome = self.model.solve(self._through(place), budget.share(pending), self.costs, hint)
            self._learn(outcome, budget)
            if outcome.certain and outcome.answer is not None:
                self._settle({place: self._cost(outcome.answer)})

    @property
    def nothing(self) -> bool:
        """Whether it is certain that there is no answer through any of the values asked."""
        return not self.waiting and all(cost is None for cost in self.known.values())

    def found(self, place: int) -> int | NotYetKnown | None:
        """What there is to say of a value that was asked."""
        return self.known.get(place, NOT_YET_KNOWN)

    def _learn(self, outcome: Outcome, budget: Budget) -> None:
        budget.spend(outcome.work)
        for answer in (*outcome.others, outcome.answer):
            if answer is None:
                continue
            cost = self._cost(answer)
            for place in self._places(answer):
                if place not in self.nearest or cost < self.nearest[place][0]:
                    self.nearest[place] = cost, answer
                if cost == self.least and place in self.waiting:
                    self._settle({place: cost})

    def _settle(self, known: dict[int, int | None]) -> None:
        self.known |= known
        for place in known:
            self.waiting.pop(place, None)

    def _through(self, place: int) -> list[int]:
        """The allowed values, of this value's variable only this."""
        variable = self._variable(place)
        begin, end = self.offsets[variable : variable + 2]
        return [other for other in self.allowed if other == place or not begin <= other < end]

    def _unseen(self, place: int) -> Answer:
        """An answer, probably not a good one, with values of which no answer is known yet."""
        unseen = [other for other in self.waiting if other not in self.nearest]
        first: dict[int, int] = {}
        for other in (place, *unseen, *self.allowed):
            first.setdefault(self._variable(other), other)
        return tuple(first[v] - self.offsets[v] for v in range(len(self.offsets) - 1))

    def _variable(self, place: int) -> int:
        return bisect_right(self.offsets, place) - 1

    def _places(self, answer: Answer) -> list[int]:
        return [offset + place for offset, place in zip(self.offsets, answer, strict=False)]

    def _cost(self, answer: Answer) -> int:
        return sum(self.costs[place] for place in self._places(answer))


def settle(costings: Sequence[Costing], budget: Budget) -> None:
    """Ask for every value of every costing: first what is possible at all, then at what cost.

    Half of the time at most goes into the first. Those that may be cheapest come first in the second, so
    that they are known where the time does not last for all.
    """
    for costing in costings:
        costing.start(budget)
    for _ in range(_ROUNDS):
        reserve = budget.seconds / 2 if any(any(costing.costs) for costing in costings) else 0.0
        pending = [(costing, place) for costing in costings for place in costing.waiting]
        for i, (costing, place) in enumerate(pending):
            if budget.seconds > reserve:
                costing.prove(place, len(pending) - i, budget)
        pending.sort(key=lambda one: one[0].nearest.get(one[1], (inf,))[0])
        for i, (costing, place) in enumerate(pending):
            costing.cost(place, len(pending) - i, budget)
