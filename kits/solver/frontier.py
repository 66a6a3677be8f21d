"""Costs that are no sums: the day on which the latest part of a kit is there, and price against it.

A kit is there when its last part is. So a day is never minimised: values that are there later are barred,
and what is still possible then, or cheapest, is what a kit by that day can be.
"""

from __future__ import annotations

from collections.abc import Hashable, Mapping
from dataclasses import dataclass

from kits.solver.answers import NOT_YET_KNOWN, MaybeOptions, NotYetKnown
from kits.solver.changing import Asked
from kits.solver.engines import Solver
from kits.solver.errors import Barred
from kits.solver.network import Choices, Cost, check_costs

Days = Mapping[Cost, int]  # The day on which each value is there; 0 where it does not say.


@dataclass(frozen=True)
class Point:
    """A kit that no other beats in both: `cost` is the least of all that are there by `day`."""

    day: int
    cost: int
    answer: Mapping[str, Hashable]


def earliest(solver: Asked, choices: Choices, days: Days) -> MaybeOptions:
    """For each value the earliest day on which a whole kit with it can be there, else None.

    As with Solver.options, the options of a chosen variable are what it could be changed to. Days are
    whole numbers; halved again and again for all values at once, each half with one question.
    """
    check_costs(solver.network, days)
    dated = _dated(solver, days)
    known = sorted(set(dated.values()))
    found = dict[Cost, int | NotYetKnown | None]()
    at_all = solver.options(choices, {})
    for name, value in dated:
        found[name, value] = None if at_all[name][value] is None else NOT_YET_KNOWN
    # Values with a kit by known[high], and with none before known[low].
    waiting = [(0, len(known) - 1, [(name, value) for name, value in dated if at_all[name][value] == 0])]
    while waiting:
        low, high, values = waiting.pop()
        if low == high or not values:
            found |= dict.fromkeys(values, known[low])
            continue
        middle = (low + high) // 2
        by_then = solver.options(choices, {}, _later(dated, known[middle]))
        waiting += [
            (low, middle, [(name, value) for name, value in values if by_then[name][value] == 0]),
            (middle + 1, high, [(name, value) for name, value in values if by_then[name][value] is None]),
        ]
    return {
        name: {value: found[name, value] for value in values}
        for name, values in solver.network.variables.items()
    }


def least_by(
    solver: Asked, choices: Choices, costs: Mapping[Cost, int] | None, days: Days, by: int
) -> MaybeOptions:
    """Solver.options among the kits that are there by a day: None for what no such kit has."""
    check_costs(solver.network, days)
    return solver.options(choices, costs, _later(_dated(solver, days), by))


def frontier(solver: Solver, choices: Choices, costs: Mapping[Cost, int] | None, days: Days) -> list[Point]:
    """Every trade of cost against date that no other kit beats in both, earliest (and dearest) first.

    Contradiction where the choices exclude each other; OutOfTime where some trade was not certain in time.
    """
    check_costs(solver.network, days)
    dated = _dated(solver, days)
    known = sorted(set(dated.values()))
    found: list[Point] = []
    by = known[-1]
    while True:
        try:
            answer, cost = solver.best(choices, costs, _later(dated, by))
        except Barred:
            break
        day = max(days.get(choice, 0) for choice in answer.items())
        if found and found[-1].cost == cost:
            found.pop()  # As cheap, and later.
        found.append(Point(day, cost, answer))
        if day == known[0]:
            break
        by = max(one for one in known if one < day)
    return found[::-1]


def _dated(solver: Asked, days: Days) -> dict[Cost, int]:
    """Every value with its day."""
    return {
        (name, value): days.get((name, value), 0)
        for name, values in solver.network.variables.items()
        for value in values
    }


def _later(dated: Days, by: int) -> list[Cost]:
    """What is not there by a day."""
    return [value for value, day in dated.items() if day > by]
