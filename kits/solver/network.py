"""What is asked of the solver: variables with their values, tables, sums and costs, in plain values."""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from kits.solver.errors import NetworkError

Choices = Mapping[str, Hashable]
Cost = tuple[str, Hashable]
LARGEST_COST = 2**40  # A thousand such costs still add up exactly in a float.


@dataclass(frozen=True)
class Table:
    """The combinations of its variables' values that are allowed, or those that are not.

    `reason` is what to say when it is in the way.
    """

    scope: tuple[str, ...]
    rows: Sequence[tuple[Hashable, ...]]
    allowed: bool = True
    reason: str = ""

    def __post_init__(self) -> None:
        _check_scope(self.scope)
        object.__setattr__(self, "rows", tuple(dict.fromkeys(tuple(row) for row in self.rows)))
        for row in self.rows:
            if len(row) != len(self.scope):
                raise NetworkError(f"a row of {len(row)} values for {len(self.scope)} variables: {row!r}")


@dataclass(frozen=True)
class Sum:
    """A dimension chain or a rating: the sum of its variables' lengths lies between the limits.

    `lengths[variable][value]` is the (lowest, highest) whole number that the value adds (or takes,
    below zero). Worst case: the sum of the lowest is at least `at_least`, that of the highest at
    most `at_most`; None leaves a side open.
    """

    scope: tuple[str, ...]
    lengths: Mapping[str, Mapping[Hashable, tuple[int, int]]]
    at_least: int | None
    at_most: int | None
    reason: str = ""

    def __post_init__(self) -> None:
        _check_scope(self.scope)
        for name in self.scope:
            if name not in self.lengths:
                raise NetworkError(f"the sum over {', '.join(self.scope)} has no lengths for {name}")
        for limit in (self.at_least, self.at_most):
            if limit is not None and not _is_whole(limit):
                raise NetworkError(f"a limit of a sum is a whole number or None, not {limit!r}")
        for lengths in self.lengths.values():
            for lo, hi in lengths.values():
                if not (_is_whole(lo) and _is_whole(hi) and lo <= hi):
                    raise NetworkError(f"a length is two whole numbers, low to high, not {lo!r} and {hi!r}")


Constraint = Table | Sum


@dataclass(frozen=True)
class Network:
    """Variables with their values, constraints on them, and a cost for each value (0 if not given)."""

    variables: Mapping[str, Sequence[Hashable]]
    tables: Sequence[Table] = ()
    sums: Sequence[Sum] = ()
    costs: Mapping[Cost, int] = field(default_factory=dict)

    def __post_init__(self) -> None:
        object.__setattr__(self, "variables", {name: tuple(vs) for name, vs in self.variables.items()})
        object.__setattr__(self, "tables", tuple(self.tables))
        object.__setattr__(self, "sums", tuple(self.sums))
        for name, values in self.variables.items():
            if not isinstance(name, str):
                raise NetworkError(f"a variable's name is a text, not {name!r}")
            if not values:
                raise NetworkError(f"{name} has no values; leave it out or give it one")
            if len(set(values)) != len(values):
                raise NetworkError(f"{name} has a value twice: {values!r}")
        for constraint in self.constraints:
            self._check(constraint)
        check_costs(self, self.costs)

    @property
    def constraints(self) -> tuple[Constraint, ...]:
        """Tables, then sums: their places are how a conflict names them."""
        return (*self.tables, *self.sums)

    def _check(self, constraint: Constraint) -> None:
        for name in constraint.scope:
            if name not in self.variables:
                raise NetworkError(f"a constraint is on {name!r}, which is no variable of the network")
        if isinstance(constraint, Sum):
            for name in constraint.scope:
                missing = [v for v in self.variables[name] if v not in constraint.lengths[name]]
                if missing:
                    raise NetworkError(
                        f"a sum has no length for {name} = {missing[0]!r}; give every value one"
                    )
            return
        known = [frozenset(self.variables[name]) for name in constraint.scope]
        for row in constraint.rows:
            for name, values, value in zip(constraint.scope, known, row, strict=True):
                if value not in values:
                    raise NetworkError(f"a table has {name} = {value!r}, which is no value of {name}")


def check_costs(network: Network, costs: Mapping[Cost, int]) -> None:
    """Raise unless every cost is a whole number of a known value, not so large that sums lose exactness."""
    for (name, value), cost in costs.items():
        check_choice(network, name, value)
        if not _is_whole(cost) or abs(cost) > LARGEST_COST:
            raise NetworkError(f"the cost of {name} = {value!r} is {cost!r}; give a whole number up to 2**40")


def check_choice(network: Network, name: str, value: Hashable) -> None:
    """Raise unless the network has that variable and that value."""
    if name not in network.variables:
        known = ", ".join(list(network.variables)[:5])
        raise NetworkError(f"there is no variable {name!r}; there are {known}...")
    if value not in network.variables[name]:
        raise NetworkError(f"{name} has no value {value!r}; it has {network.variables[name][:5]!r}...")


def _check_scope(scope: Any) -> None:
    if not isinstance(scope, tuple) or not scope or not all(isinstance(name, str) for name in scope):
        raise NetworkError(f"a scope is a tuple of one or more variable names, not {scope!r}")
    if len(set(scope)) != len(scope):
        raise NetworkError(f"a scope names a variable twice: {scope!r}")


def _is_whole(value: Any) -> bool:
    return isinstance(value, int) and not isinstance(value, bool)
