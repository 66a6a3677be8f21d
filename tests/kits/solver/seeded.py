"""Small random networks by the thousand: quicker than drawn ones, for want of shrinking."""

from collections.abc import Hashable, Mapping, Sequence
from random import Random

from kits.solver import Network, Sum, Table

from .networks import VALUES, combinations

Variables = Mapping[str, Sequence[Hashable]]


def random_network(chance: Random) -> Network:
    """Up to six variables of up to four values; tables, bans and sums on some of them."""
    variables = {f"v{i}": VALUES[: chance.randint(1, 4)] for i in range(chance.randint(1, 6))}
    tables = [_table(chance, variables) for _ in range(chance.randint(0, 4))]
    tables += [_ban(chance, variables) for _ in range(chance.randint(0, 1))]
    sums = [_sum(chance, variables) for _ in range(chance.randint(0, 3))]
    costs = {
        (name, value): chance.randint(-5, 20)
        for name, values in variables.items()
        for value in values
        if chance.random() < 0.9
    }
    return Network(variables, tables, sums, costs)


def random_choices(chance: Random, network: Network) -> dict[str, Hashable]:
    share = chance.random()
    return {
        name: chance.choice(values)
        for name, values in network.variables.items()
        if chance.random() < share
    }  # fmt: skip


def _scope(chance: Random, variables: Variables, most: int) -> tuple[str, ...]:
    return tuple(chance.sample(list(variables), chance.randint(1, min(most, len(variables)))))


def _table(chance: Random, variables: Variables) -> Table:
    scope = _scope(chance, variables, 3)
    rows = [row for row in combinations([variables[name] for name in scope]) if chance.random() < 0.6]
    return Table(scope, rows, chance.random() < 0.6, f"table on {' and '.join(scope)}")


def _ban(chance: Random, variables: Variables) -> Table:
    scope = _scope(chance, variables, len(variables))
    rows = [tuple(chance.choice(variables[name]) for name in scope) for _ in range(chance.randint(0, 9))]
    return Table(scope, rows, False, f"ban on {' and '.join(scope)}")


def _sum(chance: Random, variables: Variables) -> Sum:
    scope = _scope(chance, variables, len(variables))
    lengths: dict[str, dict[Hashable, tuple[int, int]]] = {}
    for name in scope:
        lows = [chance.randint(-5, 5) for _ in variables[name]]
        lengths[name] = {
            value: (low, low + chance.randint(0, 3))
            for value, low in zip(variables[name], lows, strict=True)
        }  # fmt: skip
    at_least, at_most = (
        chance.choice((None, chance.randint(-6, 3))),
        chance.choice((None, chance.randint(-3, 8))),
    )
    return Sum(scope, lengths, at_least, at_most, f"sum on {' and '.join(scope)}")
