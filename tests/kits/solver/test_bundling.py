"""What whole answers take, against all answers one by one."""

from collections.abc import Hashable, Mapping
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kits.solver import Network, NetworkError, Table, bundles, compile
from kits.solver.network import Cost

from .networks import Every, networks

THINGS = ("belt", "hub")


@st.composite
def asked(draw: st.DrawFn) -> tuple[Network, dict[Cost, dict[Hashable, int]], dict[Cost, int], list[Cost]]:
    network = draw(networks())
    values = [(name, value) for name, known in network.variables.items() for value in known]
    things: st.SearchStrategy[Hashable] = st.sampled_from(THINGS)
    some = st.dictionaries(things, st.integers(0, 2))
    takes: dict[Cost, dict[Hashable, int]] = {one: draw(some) for one in values}
    costs = {one: draw(st.integers(0, 2)) for one in values}
    return network, takes, costs, draw(st.lists(st.sampled_from(values), max_size=2))


@settings(max_examples=150, deadline=None)
@given(asked())
def test_the_bundles_are_what_all_answers_take_without_those_that_another_beats(
    case: tuple[Network, Mapping[Cost, Mapping[Hashable, int]], Mapping[Cost, int], list[Cost]],
) -> None:
    network, takes, costs, barred = case
    every, taken = Every(network), set()
    for row in every.grid[every.good].tolist():
        answer = [
            (name, network.variables[name][place]) for name, place in zip(every.names, row, strict=True)
        ]
        if not set(answer) & set(barred):
            pieces = tuple(sum(takes[one].get(thing, 0) for one in answer) for thing in THINGS)
            taken.add((sum(costs[one] for one in answer), *pieces))
    unbeaten = {
        one
        for one in taken
        if not any(other != one and all(a <= b for a, b in zip(other, one, strict=True)) for other in taken)
    }
    found = bundles(compile(network), takes, costs, barred)
    assert found is not None
    told = [(one.cost, *(one.takes.get(thing, 0) for thing in THINGS)) for one in found]
    assert sorted(told) == sorted(unbeaten)
    for one in found:
        assert every.exists(one.answer) and not set(one.answer.items()) & set(barred)
        assert sum(costs[value] for value in one.answer.items()) == one.cost
        for thing in THINGS:
            assert sum(takes[v].get(thing, 0) for v in one.answer.items()) == one.takes.get(thing, 0)
    assert [one.cost for one in found] == sorted(one.cost for one in found)


def free_slots(count: int) -> tuple[Network, dict[Cost, dict[Hashable, int]]]:
    """So many slots of two parts each, all going with all."""
    network = Network({f"slot {n}": ("a", "b") for n in range(count)})
    return network, {(f"slot {n}", value): {f"{value}{n}": 1} for n in range(count) for value in "ab"}


def test_more_than_the_limit_are_not_told() -> None:
    network, takes = free_slots(4)
    found = bundles(compile(network), takes, {}, limit=16)
    assert found is not None and len(found) == 16
    assert bundles(compile(network), takes, {}, limit=15) is None


def test_far_too_many_are_given_up_on_the_way() -> None:
    network, takes = free_slots(60)
    assert bundles(compile(network), takes, {}) is None


def test_a_great_many_answers_that_take_the_same_are_few_bundles() -> None:
    network = Network({f"slot {n}": ("a", "b") for n in range(40)})
    takes: dict[Cost, dict[Hashable, int]] = {
        (f"slot {n}", value): {value: 1} for n, value in product(range(40), "ab")
    }
    found = bundles(compile(network), takes, {})
    assert found is not None and len(found) == 41


def test_a_network_without_an_answer_has_none() -> None:
    network = Network({"slot": ("a",)}, [Table(("slot",), ())])
    assert bundles(compile(network), {}, {}) == []


def test_nonsense_is_refused() -> None:
    network, takes = free_slots(1)
    with pytest.raises(NetworkError):
        bundles(compile(network), takes, {}, limit=0)
    with pytest.raises(NetworkError):
        bundles(compile(network), {("slot 9", "a"): {"x": 1}}, {})
