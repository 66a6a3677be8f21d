"""The latest day of a kit, and cost against it, hold against all answers written out."""

from collections.abc import Callable, Hashable, Mapping
from functools import partial
from random import Random

import numpy as np
import pytest

from kits.solver import (
    NOT_YET_KNOWN,
    Choices,
    Contradiction,
    Cost,
    OutOfTime,
    Solver,
    compile,
    earliest,
    frontier,
    least_by,
)
from tests.kits.solver.networks import Every
from tests.kits.solver.seeded import random_choices, random_network

from .drawn import crowded, search, second, some_days


class Dated(Every):
    """All whole answers with their days."""

    def __init__(self, solver: Solver, days: Mapping[Cost, int]) -> None:
        super().__init__(solver.network)
        self.days = np.zeros(len(self.grid), np.int64)
        for name, values in self.network.variables.items():
            of_value = np.array([days.get((name, value), 0) for value in values])
            self.days = np.maximum(self.days, of_value[self._column(name)])

    def earliest(self, choices: Choices) -> int | None:
        found = self.days[self.under(choices)]
        return int(found.min()) if len(found) else None

    def least_by(self, choices: Choices, day: int) -> int | None:
        found = self.costs[self.under(choices) & (self.days <= day)]
        return int(found.min()) if len(found) else None

    def frontier(self, choices: Choices) -> list[tuple[int, int]]:
        """Day and cost of what no other answer beats in one and equals in the other, by all pairs."""
        kept = self.under(choices)
        pairs = set(zip(self.days[kept].tolist(), self.costs[kept].tolist(), strict=True))
        return sorted(
            (day, cost)
            for day, cost in pairs
            if not any(d <= day and c <= cost and (d, c) != (day, cost) for d, c in pairs)
        )


def of_every_value(
    solver: Solver, ask: Callable[[Choices], int | None], choices: Choices
) -> dict[str, dict[Hashable, int | None]]:
    return {
        name: {value: ask({**choices, name: value}) for value in values}
        for name, values in solver.network.variables.items()
    }


def an_engine(kind: str, chance: Random) -> Solver:
    if kind == "conditioned":
        return second(chance)
    network = random_network(chance)
    return compile(network) if kind == "diagram" else search(network)


@pytest.mark.parametrize(("kind", "times"), [("diagram", 200), ("conditioned", 25), ("search", 25)])
def test_days_and_costs_by_a_day_are_those_of_brute_force(kind: str, times: int) -> None:
    chance = Random(f"days {kind}")
    for _ in range(times):
        solver = an_engine(kind, chance)
        days, choices = some_days(chance, solver.network), random_choices(chance, solver.network)
        dated, by = Dated(solver, days), chance.choice((0, 1, 4, 9))
        if not dated.exists(choices):
            with pytest.raises(Contradiction):
                earliest(solver, choices, days)
            with pytest.raises(Contradiction):
                frontier(solver, choices, None, days)
            continue
        assert earliest(solver, choices, days) == of_every_value(solver, dated.earliest, choices)
        found = least_by(solver, choices, None, days, by)
        assert found == of_every_value(solver, partial(dated.least_by, day=by), choices)


@pytest.mark.parametrize(("kind", "times"), [("diagram", 200), ("conditioned", 60), ("search", 60)])
def test_the_frontier_has_every_trade_that_is_not_beaten_and_no_other(kind: str, times: int) -> None:
    chance, longest = Random(f"frontier {kind}"), 0
    for _ in range(times):
        solver = an_engine(kind, chance)
        days, choices = some_days(chance, solver.network), random_choices(chance, solver.network)
        dated = Dated(solver, days)
        if not dated.exists(choices):
            continue
        points = frontier(solver, choices, None, days)
        assert [(point.day, point.cost) for point in points] == dated.frontier(choices)
        for point in points:
            answer = dict(point.answer)
            assert choices.items() <= answer.items()
            assert (dated.earliest(answer), dated.least(answer)) == (point.day, point.cost)
        longest = max(longest, len(points))
    assert longest > 1


def test_costs_of_ones_own_take_the_place_of_the_networks() -> None:
    solver = compile(crowded(slots=4, candidates=5))
    days: dict[Cost, int] = {("slot 0", 1): 4}
    costs: dict[Cost, int] = {("slot 0", 1): 7}
    point, *_ = frontier(solver, {"slot 0": 1}, costs, days)
    assert (point.day, point.cost) == (4, 7)


def test_days_that_are_not_certain_in_time_are_not_yet_known() -> None:
    network = crowded(slots=4, candidates=5)
    days: dict[Cost, int] = {("slot 0", value): value for value in range(5)}
    found = earliest(search(network, 0), {}, days)
    right = earliest(compile(network), {}, days)
    for name, options in found.items():
        for value, day in options.items():
            assert day is NOT_YET_KNOWN or day == right[name][value]
    with pytest.raises(OutOfTime):
        frontier(search(network, 0), {}, None, days)
