"""Possible or not, at every step of random replays, as an incremental SAT solver says."""

from random import Random

import pytest

from kits.solver import Network, compile

from .made_up import made_up
from .networks import Every
from .replaying import possible, replay
from .sat import Sat
from .seeded import random_choices, random_network


@pytest.mark.parametrize("seed", range(3))
def test_replays_of_a_made_up_instance_agree_at_every_step(seed: int) -> None:
    network = made_up(seed)
    answering, sat = compile(network), Sat(network)
    assert answering.count({}) > 10_000
    assert replay(network, answering, sat, Random(seed)) > 60 * 60
    sat.close()


@pytest.mark.parametrize("seed", range(3))
def test_conflicts_of_a_made_up_instance_are_minimal_to_the_other_solver(seed: int) -> None:
    network, chance = made_up(seed), Random(seed)
    answering, sat = compile(network), Sat(network)
    answer, _ = answering.best(
        {}, {(v, x): chance.randint(0, 99) for v in network.variables for x in network.variables[v]}
    )
    choices = dict(chance.sample(list(answer.items()), 40))
    blocked = [
        (v, x) for v, some in possible(answering, choices).items() for x, may in some.items() if not may
    ]
    for name, value in chance.sample(blocked, 15):
        conflict = answering.conflict(choices, name, value)
        assert not sat.possible({**conflict.choices, name: value})
        for spared in conflict.choices:
            kept = {k: v for k, v in conflict.choices.items() if k != spared}
            assert sat.possible({**kept, name: value})
        only = Network(network.variables, [network.tables[place] for place in conflict.constraints])
        blamed = Sat(only)
        assert not blamed.possible({**conflict.choices, name: value})
        blamed.close()
    sat.close()


def test_the_other_solver_is_right_on_small_networks() -> None:
    """An oracle that is wrong proves nothing: held against brute force, sums and bans included."""
    chance = Random(4)
    for _ in range(100):
        network = random_network(chance)
        choices, every, sat = random_choices(chance, network), Every(network), Sat(network)
        assert sat.possible(choices) == every.exists(choices)
        options = every.options(choices)
        assert sat.options(choices) == {
            name: {value: cost is not None for value, cost in costs.items()}
            for name, costs in options.items()
        }
        sat.close()
