"""The engines for what does not compile give the diagram's answers, or else say that they do not know."""

import pickle
from collections import Counter
from collections.abc import Hashable
from random import Random

import pytest

from kits.solver import (
    Barred,
    Conditioned,
    Contradiction,
    Network,
    NotCounted,
    Search,
    Sum,
    compile,
)
from tests.kits.solver.holding import holds_conflicts, holds_repairs
from tests.kits.solver.networks import Every
from tests.kits.solver.seeded import random_choices

from .drawn import ENGINES, asked, crowded, search, second, some_values, without


@pytest.mark.parametrize("engine", ENGINES)
def test_options_and_best_answers_are_those_of_brute_force(engine: str) -> None:
    chance = Random(f"options {engine}")
    for _ in range(60):
        solver = asked(engine, chance)
        every, choices = Every(solver.network), random_choices(chance, solver.network)
        assert solver.possible(choices) == every.exists(choices)
        if not every.exists(choices):
            with pytest.raises(Contradiction):
                solver.options(choices)
            with pytest.raises(Contradiction):
                solver.best(choices)
            continue
        assert solver.options(choices) == every.options(choices)
        answer, cost = solver.best(choices)
        assert every.exists(answer) and choices.items() <= answer.items()
        assert cost == every.least(answer) == every.least(choices)


@pytest.mark.parametrize("engine", ENGINES)
def test_options_are_those_of_the_diagram_whatever_things_cost(engine: str) -> None:
    chance = Random(f"diagram {engine}")
    for _ in range(30):
        solver = asked(engine, chance)
        choices = dict(list(random_choices(chance, solver.network).items())[:2])
        if solver.possible(choices):
            costs = {pair: chance.randint(-3, 9) for pair in some_values(chance, solver.network, 0.7)}
            diagram = compile(solver.network)
            assert solver.options(choices, costs) == diagram.options(choices, costs)
            assert solver.best(choices, costs)[1] == diagram.best(choices, costs)[1]


@pytest.mark.parametrize("engine", ENGINES)
def test_conflicts_are_minimal_and_repairs_complete(engine: str) -> None:
    chance, found = Random(f"conflicts {engine}"), Counter[str]()
    for _ in range(15):
        solver = asked(engine, chance)
        every, choices = Every(solver.network), random_choices(chance, solver.network)
        found["conflicts"] += holds_conflicts(every, solver, choices)
        change_costs = {name: chance.randint(1, 3) for name in choices}
        found["repairs"] += holds_repairs(every, solver, choices, change_costs)
    assert found["conflicts"] > 10 and found["repairs"] > 10


@pytest.mark.parametrize("engine", ["diagram", *ENGINES])
def test_no_answer_uses_what_is_barred(engine: str) -> None:
    chance, refused = Random(f"barred {engine}"), 0
    for _ in range(50):
        solver = asked("search" if engine == "diagram" else engine, chance)
        if engine == "diagram":
            solver = compile(solver.network)
        choices, barred = random_choices(chance, solver.network), some_values(chance, solver.network)
        every = without(solver.network, barred)
        assert solver.possible(choices, barred) == every.exists(choices)
        if not Every(solver.network).exists(choices):
            with pytest.raises(Contradiction):
                solver.options(choices, None, barred)
            continue
        assert solver.options(choices, None, barred) == every.options(choices)
        if every.exists(choices):
            answer, cost = solver.best(choices, None, barred)
            assert cost == every.least(answer) == every.least(choices)
        else:
            refused += 1
            with pytest.raises(Barred, match="bar fewer"):
                solver.best(choices, None, barred)
    assert refused


def test_answers_are_counted_where_what_is_left_compiles_and_not_guessed_otherwise() -> None:
    chance, used = Random("count"), Counter[str]()
    for _ in range(60):
        solver = second(chance)
        every, choices = Every(solver.network), random_choices(chance, solver.network)
        engine = solver.engine_for(choices)
        used[engine] += 1
        try:
            assert solver.count(choices) == every.under(choices).sum()
        except NotCounted:
            assert engine == "search"
    assert used["conditioned"] > 10 and used["search"] > 10


def test_a_pickled_engine_answers_as_before_and_leaves_its_caches_behind() -> None:
    solver = search(crowded(slots=4, candidates=5))
    conditioned = Conditioned(solver, 20)
    before = conditioned.options({"slot 1": 2})
    assert conditioned.rests and solver.models
    again = pickle.loads(pickle.dumps(conditioned))  # noqa: S301  # its own
    assert not again.rests and not again.search.models
    assert again.options({"slot 1": 2}) == before


def test_an_answer_does_not_depend_on_what_was_asked_before() -> None:
    network = crowded(seed=4, slots=5, candidates=6)
    first, other = search(network), search(network)
    for name in network.variables:
        other.options({name: 2})
    assert first.best({}) == other.best({}) == search(network).best({})
    # Some work, but not enough for all: what is known then is the same as well.
    assert first.within(0.4).options({}) == other.within(0.4).options({})


def test_a_sum_too_large_to_narrow_with_still_binds() -> None:
    lengths: dict[str, dict[Hashable, tuple[int, int]]] = {
        f"v{i}": {value: (value * 10**i, value * 10**i + 1) for value in range(4)} for i in range(4)
    }
    chain = Sum(tuple(lengths), lengths, 1203, 2130)
    network = Network({name: range(4) for name in lengths}, [], [chain], {("v0", 3): 5, ("v2", 1): 2})
    blind = Search.of(network, 3, 100.0)
    assert blind.built.parts == ((),)
    assert blind.options({"v1": 2}) == compile(network).options({"v1": 2})
    assert blind.conflict({"v3": 3}, "v0", 1).constraints == (0,)
