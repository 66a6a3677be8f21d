"""Replays: one choice after the other, and at every step the whole answer of both solvers."""

from collections.abc import Hashable
from random import Random

from kits.solver import Compiled, Network

from .sat import Sat


def possible(answering: Compiled, choices: dict[str, Hashable]) -> dict[str, dict[Hashable, bool]]:
    return {
        name: {value: cost is not None for value, cost in costs.items()}
        for name, costs in answering.options(choices).items()
    }


def replay(network: Network, answering: Compiled, sat: Sat, chance: Random) -> int:
    """Choose a random possible value of one variable after the other; how many questions agreed."""
    choices: dict[str, Hashable] = {}
    agreed = 0
    for name in chance.sample(list(network.variables), len(network.variables)):
        found = possible(answering, choices)
        assert found == sat.options(choices)
        choices[name] = chance.choice([value for value, may in found[name].items() if may])
        agreed += sum(map(len, found.values()))
    assert answering.count(choices) == 1
    return agreed
