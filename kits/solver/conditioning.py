"""What is left of a network once some values are fixed: smaller, and quicker to compile."""

from __future__ import annotations

from collections.abc import Collection, Hashable, Mapping, Sequence

from kits.solver.errors import NetworkError
from kits.solver.network import Cost, Network, Sum, Table, check_choice

Left = Mapping[str, Sequence[Hashable]]


def rest(network: Network, left: Left | None) -> Network:
    """The network with only the values that are left of each variable, in the same order.

    A variable with one value goes out of every constraint but stays in the network, so that answers are
    whole and costs add up as before. None left at all: a network that has no answer. NetworkError for a
    variable or value that the network does not have, and for a variable of which nothing is said.
    """
    if left is None:
        return Network(network.variables, [Table((next(iter(network.variables)),), ())])
    for name, values in left.items():
        for value in values:
            check_choice(network, name, value)
    if missing := sorted(network.variables.keys() - left.keys()):
        raise NetworkError(f"it is not said what is left of {missing[0]}; all its values, if none is gone")
    return Network(
        left,
        [_rest_of_table(table, left) for table in network.tables],
        [_rest_of_sum(one, left) for one in network.sums],
        costs_left(network.costs, left) or {},
    )


def costs_left(costs: Mapping[Cost, int] | None, left: Left) -> dict[Cost, int] | None:
    """The costs of the values that are left; None stays None."""
    if costs is None:
        return None
    return {(name, value): cost for (name, value), cost in costs.items() if value in left[name]}


def barred_left(barred: Collection[Cost], left: Left) -> list[Cost]:
    """Of what is barred, the values that are left."""
    return [(name, value) for name, value in barred if value in left[name]]


def _open(scope: tuple[str, ...], left: Left) -> tuple[str, ...]:
    """The variables that are not decided; one of them at the least, so that the constraint stays."""
    return tuple(name for name in scope if len(left[name]) > 1) or scope[-1:]


def _rest_of_table(table: Table, left: Left) -> Table:
    still = [frozenset(left[name]) for name in table.scope]
    scope = _open(table.scope, left)
    columns = [table.scope.index(name) for name in scope]
    rows = [
        tuple(row[column] for column in columns)
        for row in table.rows
        if all(value in values for value, values in zip(row, still, strict=True))
    ]
    return Table(scope, rows, table.allowed, table.reason)


def _rest_of_sum(one: Sum, left: Left) -> Sum:
    scope = _open(one.scope, left)
    fixed = [one.lengths[name][left[name][0]] for name in one.scope if name not in scope]
    low, high = sum(low for low, _ in fixed), sum(high for _, high in fixed)
    return Sum(
        scope,
        {name: {value: one.lengths[name][value] for value in left[name]} for name in scope},
        None if one.at_least is None else one.at_least - low,
        None if one.at_most is None else one.at_most - high,
        one.reason,
    )
