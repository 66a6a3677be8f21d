"""What every answer must hold, said with brute force; used on drawn networks and on seeded ones."""

from collections.abc import Hashable, Mapping

import pytest

from kits.solver import Choices, Conflict, Contradiction, OneChange, Solver

from .networks import Every


def holds_options(every: Every, answering: Solver, choices: Choices) -> None:
    """Counts, options with least costs, and a best answer."""
    assert answering.count(choices) == every.under(choices).sum()
    assert answering.possible(choices) == every.exists(choices)
    if not every.exists(choices):
        for ask in (answering.options, answering.best):
            with pytest.raises(Contradiction):
                ask(choices)
        return
    assert answering.options(choices) == every.options(choices)
    answer, cost = answering.best(choices)
    assert answer.keys() == every.network.variables.keys()
    assert every.exists({**answer, **choices}) and {**answer, **choices} == answer
    assert cost == every.least(answer) == every.least(choices)


def holds_conflicts(every: Every, answering: Solver, choices: Choices) -> int:
    """Why the choices exclude each other, what one change mends, why each blocked value is; how many."""
    assert answering.changes(choices) == every.options(choices)
    assert OneChange(answering).options(choices) == every.options(choices)
    blocked = [
        (name, value)
        for name, values in every.network.variables.items()
        for value in values
        if not every.exists({**choices, name: value})
    ]
    for name, value in blocked[:3]:
        conflict = answering.conflict(choices, name, value)
        assert (conflict.variable, conflict.value) == (name, value)
        assert name not in conflict.choices
        _explains(every, conflict, choices, {name: value})
    if not every.exists(choices):
        conflict = answering.conflict(choices)
        assert conflict.variable is None
        _explains(every, conflict, choices, {})
        with pytest.raises(Contradiction) as raised:
            answering.options(choices)
        assert raised.value.conflict == conflict and str(raised.value) == conflict.said
    return len(blocked)


def _explains(every: Every, conflict: Conflict, choices: Choices, target: dict[str, Hashable]) -> None:
    """A refutation by earlier choices and by constraints, none of which can be left out."""
    network, blamed = every.network, dict(conflict.choices)
    assert blamed.items() <= choices.items()
    assert not every.exists(blamed | target)
    for name in blamed:
        assert every.exists({k: v for k, v in blamed.items() if k != name} | target)
    places = conflict.constraints
    assert not Every(network, places).exists(blamed | target)
    for place in places:
        assert Every(network, set(places) - {place}).exists(blamed | target)
    assert set(conflict.reasons) == {network.constraints[place].reason for place in places}


def holds_repairs(
    every: Every, answering: Solver, choices: Choices, change_costs: Mapping[str, int] | None
) -> int:
    """For some values: all smallest sets of changes, cheapest first, and each at its best; how many."""
    found = 0
    for name, values in list(every.network.variables.items())[:3]:
        for value in values[:2]:
            found += _holds_repairs_of(every, answering, choices, name, value, change_costs)
    return found


def _holds_repairs_of(
    every: Every,
    answering: Solver,
    choices: Choices,
    name: str,
    value: Hashable,
    change_costs: Mapping[str, int] | None,
) -> int:
    repairs = answering.repairs(choices, name, value, 1000, None, change_costs)
    assert {frozenset(repair.changes) for repair in repairs} == every.repairs(choices, {name: value})
    costs = [repair.change_cost for repair in repairs]
    assert costs == sorted(costs)
    for repair in repairs:
        assert repair.change_cost == sum((change_costs or {}).get(one, 1) for one in repair.changes)
        kept = {k: v for k, v in choices.items() if k not in repair.changes} | {name: value}
        assert repair.total_cost == every.least(kept) == every.least(kept | dict(repair.changes))
    for n in (1, 2):
        first = answering.repairs(choices, name, value, n, None, change_costs)
        assert [repair.change_cost for repair in first] == costs[:n]
        assert {frozenset(repair.changes) for repair in first} <= {frozenset(r.changes) for r in repairs}
    return len(repairs)
