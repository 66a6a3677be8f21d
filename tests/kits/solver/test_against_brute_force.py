"""Options, least costs, counts and best answers against every combination there is."""

from collections.abc import Hashable
from itertools import pairwise
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kits.solver import Compiled, Cost, Network, Sum, Table

from .holding import holds_conflicts, holds_options, holds_repairs
from .networks import Every, a_case, combinations, compiled
from .seeded import random_choices, random_network

Case = tuple[Network, dict[str, Hashable], Compiled]


@settings(max_examples=100)
@given(a_case())
def test_options_counts_and_best_are_those_of_brute_force(case: Case) -> None:
    network, choices, answering = case
    holds_options(Every(network), answering, choices)


@settings(max_examples=100)
@given(a_case(least_constraints=1))
def test_a_conflict_is_one_and_nothing_of_it_can_be_left_out(case: Case) -> None:
    network, choices, answering = case
    holds_conflicts(Every(network), answering, choices)


@settings(max_examples=100)
@given(a_case(least_constraints=1), st.lists(st.integers(1, 9), min_size=5, max_size=5))
def test_repairs_are_all_the_smallest_ones_cheapest_first(case: Case, change_costs: list[int]) -> None:
    network, choices, answering = case
    priced = {name: cost for name, cost in zip(choices, change_costs, strict=False) if cost < 9}
    holds_repairs(Every(network), answering, choices, priced)


@pytest.mark.parametrize("seed", range(16))
def test_thousands_of_networks_agree_with_brute_force(seed: int) -> None:
    """Two hundred for each seed; enough of them have something to explain and to repair."""
    chance, blocked, repaired = Random(seed), 0, 0
    for number in range(200):
        network = random_network(chance)
        choices = random_choices(chance, network)
        every, answering = Every(network), compiled(network, written_out=(0, 20_000)[number % 2])
        holds_options(every, answering, choices)
        blocked += holds_conflicts(every, answering, choices)
        priced = {name: chance.randint(1, 4) for name in choices if chance.random() < 0.8}
        repaired += holds_repairs(every, answering, choices, priced)
    assert blocked > 100 and repaired > 100


@settings(max_examples=100)
@given(a_case(), st.data())
def test_other_costs_take_the_place_of_the_networks_own(case: Case, data: st.DataObject) -> None:
    network, choices, answering = case
    pairs = [(name, value) for name, values in network.variables.items() for value in values]
    costs = data.draw(st.dictionaries(st.sampled_from(pairs), st.integers(-(10**6), 10**6)))
    every = Every(Network(network.variables, network.tables, network.sums, costs))
    if every.exists(choices):
        assert answering.options(choices, costs) == every.options(choices)
        assert answering.best(choices, costs)[1] == every.least(choices)


@pytest.mark.parametrize("seed", range(4))
def test_wide_bans_and_sums_are_those_of_brute_force(seed: int) -> None:
    """Over 65,536 combinations: too many for a ban to be written out."""
    chance = Random(seed)
    variables = {f"v{i}": range(4) for i in range(8)}
    names = tuple(variables)
    every_pair = combinations([range(4), range(4)])
    tables = [Table(names, [tuple(chance.choices(range(4), k=8)) for _ in range(300)], allowed=False)]
    tables += [Table(pair, chance.sample(every_pair, 12)) for pair in pairwise(names)]
    sums = [_chain(chance, tuple(chance.sample(names, 6))) for _ in range(2)]
    costs: dict[Cost, int] = {(name, value): chance.randint(0, 99) for name in names for value in range(4)}
    network = Network(variables, tables, sums, costs)
    every, answering = Every(network), compiled(network)
    assert answering.size.hidden > 0
    choices: dict[str, Hashable] = {}
    for name in chance.sample(names, 5):
        assert answering.count(choices) == every.under(choices).sum() > 0
        options = answering.options(choices)
        assert options == every.options(choices)
        choices[name] = chance.choice([v for v, cost in options[name].items() if cost is not None])


def _chain(chance: Random, scope: tuple[str, ...]) -> Sum:
    lengths: dict[str, dict[Hashable, tuple[int, int]]] = {}
    for name in scope:
        sizes = [chance.randint(-4000, 4000) for _ in range(4)]
        lengths[name] = {value: (size - 30, size + 30) for value, size in enumerate(sizes)}
    return Sum(scope, lengths, -6000, 6000)


def test_many_answers_are_counted_exactly() -> None:
    variables = {f"v{i}": range(10) for i in range(60)}
    tables = [Table((f"v{i}", f"v{i + 1}"), [(0, 0)], allowed=False) for i in range(59)]
    with_zero_last, without = 1, 9
    for _ in range(59):
        with_zero_last, without = without, 9 * (with_zero_last + without)
    assert compiled(Network(variables, tables)).count({}) == with_zero_last + without > 10**59


def test_large_costs_add_up_exactly() -> None:
    variables = {f"v{i}": range(2) for i in range(100)}
    costs: dict[Cost, int] = {
        (name, value): 10**12 + place + value for place, name in enumerate(variables) for value in (0, 1)
    }
    answering = compiled(Network(variables, costs=costs))
    least = 100 * 10**12 + sum(range(100))
    choices = dict.fromkeys(list(variables)[:50], 1)
    assert answering.best({})[1] == least
    options = answering.options(choices)
    assert options["v99"] == {0: least + 50, 1: least + 51}
    assert options["v0"] == {0: least + 49, 1: least + 50}
