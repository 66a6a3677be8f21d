"""Small random networks for property tests, and all their whole answers as an oracle."""

from collections.abc import Collection, Hashable, Iterable, Mapping, Sequence
from unittest.mock import patch

import numpy as np
from hypothesis import strategies as st
from numpy.typing import NDArray

from kits.solver import Choices, Compiled, Network, Sum, Table, building, compile

VALUES: tuple[Hashable, ...] = ("a", -1, 2, ("b", 3))
Variables = Mapping[str, Sequence[Hashable]]


class Every:
    """Every combination of values of a small network, the good ones marked: constraints read literally."""

    def __init__(self, network: Network, places: Collection[int] | None = None) -> None:
        """`places` are the constraints that count; None for all of them."""
        self.network = network
        self.names = list(network.variables)
        self.sizes = [len(values) for values in network.variables.values()]
        self.grid = np.indices(self.sizes).reshape(len(self.sizes), -1).T
        self.good = np.ones(len(self.grid), np.bool_)
        for place, constraint in enumerate(network.constraints):
            if places is None or place in places:
                self.good &= self._kept(constraint)
        self.costs = np.zeros(len(self.grid), np.int64)
        for (name, value), cost in network.costs.items():
            self.costs[self.has(name, value)] += cost

    def has(self, name: str, value: Hashable) -> NDArray[np.bool_]:
        """Where the variable has the value."""
        return np.asarray(self._column(name) == self.network.variables[name].index(value))

    def under(self, choices: Choices) -> NDArray[np.bool_]:
        """The good ones with these choices."""
        found = self.good.copy()
        for name, value in choices.items():
            found &= self.has(name, value)
        return found

    def exists(self, choices: Choices) -> bool:
        return bool(self.under(choices).any())

    def least(self, choices: Choices) -> int | None:
        found = self.costs[self.under(choices)]
        return int(found.min()) if len(found) else None

    def options(self, choices: Choices) -> dict[str, dict[Hashable, int | None]]:
        return {
            name: {value: self.least({**choices, name: value}) for value in values}
            for name, values in self.network.variables.items()
        }

    def repairs(self, choices: Choices, target: Choices) -> set[frozenset[str]]:
        """The smallest sets of choices to change so that the target becomes possible."""
        earlier = [name for name in choices if name not in target]
        answers = self.grid[self.under(target)]
        columns = [self.names.index(name) for name in earlier]
        chosen = [self.network.variables[name].index(choices[name]) for name in earlier]
        changed = {
            frozenset(name for name, differs in zip(earlier, row, strict=True) if differs)
            for row in (answers[:, columns] != chosen).tolist()
        }
        return {one for one in changed if not any(other < one for other in changed)}

    def _column(self, name: str) -> NDArray[np.int64]:
        return self.grid[:, self.names.index(name)]

    def _kept(self, constraint: Table | Sum) -> NDArray[np.bool_]:
        variables = self.network.variables
        if isinstance(constraint, Sum):
            ends = [
                sum(
                    np.array([constraint.lengths[name][value][end] for value in variables[name]])[
                        self._column(name)
                    ]
                    for name in constraint.scope
                )
                for end in (0, 1)
            ]
            low = constraint.at_least is None or ends[0] >= constraint.at_least
            return np.asarray(low & (constraint.at_most is None or ends[1] <= constraint.at_most))
        columns = [self.names.index(name) for name in constraint.scope]
        sizes = [self.sizes[column] for column in columns]
        rows = [
            [variables[name].index(value) for name, value in zip(constraint.scope, row, strict=True)]
            for row in constraint.rows
        ]
        listed = np.ravel_multi_index(tuple(np.array(rows, np.int64).reshape(-1, len(sizes)).T), sizes)
        among = np.isin(np.ravel_multi_index(tuple(self.grid[:, columns].T), sizes), listed)
        return np.asarray(among == constraint.allowed)


def compiled(network: Network, written_out: int = 20_000) -> Compiled:
    """`written_out` is up to how many combinations a ban is written out; beyond it becomes an automaton."""
    with patch.object(building, "_SMALL", written_out):
        return compile(network)


def a_case(
    most: int = 5, least_constraints: int = 0
) -> st.SearchStrategy[tuple[Network, dict[str, Hashable], Compiled]]:
    """A network, some choices, and the network compiled: bans as tables or as automata."""
    return networks(most, least_constraints).flatmap(
        lambda network: st.tuples(
            st.just(network),
            choices_of(network),
            st.sampled_from((0, 20_000)).map(lambda written_out: compiled(network, written_out)),
        )
    )


@st.composite
def networks(draw: st.DrawFn, most: int = 5, least_constraints: int = 0) -> Network:
    sizes = draw(st.lists(st.integers(1, 4), min_size=1, max_size=most))
    variables = {f"v{i}": VALUES[:size] for i, size in enumerate(sizes)}
    constraints = draw(
        st.lists(st.one_of(tables(variables), bans(variables), sums(variables)), min_size=least_constraints,
                 max_size=5)
    )  # fmt: skip
    pairs = [(name, value) for name, values in variables.items() for value in values]
    costs = draw(st.lists(st.integers(-5, 20), max_size=len(pairs)))
    return Network(
        variables,
        [one for one in constraints if isinstance(one, Table)],
        [one for one in constraints if isinstance(one, Sum)],
        dict(zip(reversed(pairs), costs, strict=False)),
    )


def scopes(variables: Variables, most: int) -> st.SearchStrategy[tuple[str, ...]]:
    names = st.sampled_from(list(variables))
    return st.lists(names, unique=True, min_size=1, max_size=min(most, len(variables))).map(tuple)


@st.composite
def tables(draw: st.DrawFn, variables: Variables) -> Table:
    """Any set of rows over few variables, allowed or not."""
    scope = draw(scopes(variables, 3))
    rows = combinations([variables[name] for name in scope])
    kept = draw(st.integers(0, 2 ** len(rows) - 1))
    rows = [row for place, row in enumerate(rows) if kept >> place & 1]
    return Table(scope, rows, draw(st.booleans()), f"table on {' and '.join(scope)}")


@st.composite
def bans(draw: st.DrawFn, variables: Variables) -> Table:
    """A few rows over many variables, forbidden."""
    scope = draw(scopes(variables, len(variables)))
    row = st.tuples(*(st.sampled_from(variables[name]) for name in scope))
    return Table(scope, draw(st.lists(row, max_size=6)), False, f"ban on {' and '.join(scope)}")


@st.composite
def sums(draw: st.DrawFn, variables: Variables) -> Sum:
    scope = draw(scopes(variables, len(variables)))
    length = st.tuples(st.integers(-5, 5), st.integers(0, 3)).map(lambda pair: (pair[0], sum(pair)))
    lengths = {name: {value: draw(length) for value in variables[name]} for name in scope}
    at_least, at_most = draw(st.none() | st.integers(-6, 4)), draw(st.none() | st.integers(-3, 9))
    return Sum(scope, lengths, at_least, at_most, f"sum on {' and '.join(scope)}")


def choices_of(network: Network) -> st.SearchStrategy[dict[str, Hashable]]:
    return st.fixed_dictionaries(
        {}, optional={name: st.sampled_from(values) for name, values in network.variables.items()}
    )


def combinations(values: Iterable[Sequence[Hashable]]) -> list[tuple[Hashable, ...]]:
    found: list[tuple[Hashable, ...]] = [()]
    for some in values:
        found = [(*row, value) for row in found for value in some]
    return found
