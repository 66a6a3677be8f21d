"""Seeded networks for engines other than the diagram, and the barred values and days that go with them."""

from random import Random

from kits.solver import Conditioned, Cost, Network, Search, Solver, Table, solver_for
from tests.kits.solver.networks import Every
from tests.kits.solver.seeded import random_network

PLENTY = 100.0  # Seconds: far more than any of these takes.


def second(chance: Random, seconds: float = PLENTY) -> Conditioned:
    """A network that does not compile within a cap so low that often its rests do not either."""
    while True:
        solver = solver_for(random_network(chance), chance.randint(1, 12), seconds)
        if isinstance(solver, Conditioned):
            return solver


def search(network: Network, seconds: float = PLENTY) -> Search:
    return Search.of(network, 1000, seconds)


def some_values(chance: Random, network: Network, share: float = 0.2) -> list[Cost]:
    pairs = [(name, value) for name, values in network.variables.items() for value in values]
    return [pair for pair in pairs if chance.random() < share]


def some_days(chance: Random, network: Network) -> dict[Cost, int]:
    return {pair: chance.choice((1, 2, 5, 9, 30)) for pair in some_values(chance, network, 0.8)}


def without(network: Network, barred: list[Cost]) -> Every:
    """All answers without the barred values."""
    bans = [Table((name,), [(value,)], allowed=False) for name, value in barred]
    return Every(Network(network.variables, [*network.tables, *bans], network.sums, network.costs))


def crowded(seed: int = 1, slots: int = 9, candidates: int = 12) -> Network:
    """Rules between most slots: too much for a low cap, and some work for a search."""
    chance = Random(seed)
    names = [f"slot {i}" for i in range(slots)]
    pairs = [(a, b) for a in range(candidates) for b in range(candidates)]
    tables = [
        Table((one, other), [pair for pair in pairs if chance.random() < 0.75], reason=f"{one}, {other}")
        for place, one in enumerate(names)
        for other in names[place + 1 :]
        if chance.random() < 0.7
    ]
    costs: dict[Cost, int] = {
        (name, value): chance.randint(100, 9999) for name in names for value in range(candidates)
    }
    return Network({name: range(candidates) for name in names}, tables, [], costs)


ENGINES = ("conditioned", "search")


def asked(engine: str, chance: Random) -> Solver:
    """An engine with a network of its own."""
    return second(chance) if engine == "conditioned" else search(random_network(chance))
