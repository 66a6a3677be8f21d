"""What is asked of the solver: variables with their values, tables, sums and costs, in plain values."""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from kits.solver.errors import NetworkError

Choices = Mapping[str, Hashable]
Cost = tuple[str, Hashable]
# Of a whole answer: floats add up exactly to here, and 64 bits hold two thousand times as much.
LARGEST_TOTAL = 2**50
LARGEST_LENGTH = 2**50  # A thousand of them still add up in 64 bits.


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
        if not isinstance(self.allowed, bool):
            raise NetworkError(f"rows are allowed (True) or not (False), not {self.allowed!r}")
        listed = _listed(self.rows, "rows", "a list of tuples of values")
        rows = dict.fromkeys(_listed(row, "one of the rows", "a tuple of values") for row in listed)
        object.__setattr__(self, "rows", tuple(rows))
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
        given = _mapped(self.lengths, "the lengths of a sum")
        for name in self.scope:
            if name not in given:
                raise NetworkError(f"the sum over {', '.join(self.scope)} has no lengths for {name}")
        lengths = {name: dict(_mapped(given[name], f"the lengths of {name}")) for name in self.scope}
        object.__setattr__(self, "lengths", lengths)
        for limit in (self.at_least, self.at_most):
            if limit is not None and not _is_whole(limit):
                raise NetworkError(f"a limit of a sum is a whole number or None, not {limit!r}")
        pairs = [pair for of_variable in lengths.values() for pair in of_variable.values()]
        for pair in pairs:
            if not (_is_pair(pair) and all(map(_is_whole, pair)) and pair[0] <= pair[1]):
                raise NetworkError(f"a length is two whole numbers, low to high, not {pair!r}")
        for number in (self.at_least or 0, self.at_most or 0, *(end for pair in pairs for end in pair)):
            if abs(number) > LARGEST_LENGTH:
                raise NetworkError(f"{number} is too large to add up; give lengths in a larger unit")


Constraint = Table | Sum


@dataclass(frozen=True)
class Network:
    """Variables with their values, constraints on them, and a cost for each value (0 if not given)."""

    variables: Mapping[str, Sequence[Hashable]]
    tables: Sequence[Table] = ()
    sums: Sequence[Sum] = ()
    costs: Mapping[Cost, int] = field(default_factory=dict)

    def __post_init__(self) -> None:
        variables = {
            name: _listed(values, f"the values of {name}", "a sequence of values")
            for name, values in _mapped(self.variables, "the variables of a network").items()
        }
        object.__setattr__(self, "variables", variables)
        object.__setattr__(self, "tables", _listed(self.tables, "tables", "a list of Table"))
        object.__setattr__(self, "sums", _listed(self.sums, "sums", "a list of Sum"))
        object.__setattr__(self, "costs", dict(_mapped(self.costs, "costs")))
        if not variables:
            raise NetworkError("a network has one variable or more; there is nothing to choose here")
        for name, values in self.variables.items():
            if not isinstance(name, str):
                raise NetworkError(f"a variable's name is a text, not {name!r}")
            if not values:
                raise NetworkError(f"{name} has no values; leave it out or give it one")
            if len(set(values)) != len(values):
                raise NetworkError(f"{name} has a value twice: {values!r}")
        for kind, given in ((Table, self.tables), (Sum, self.sums)):
            for constraint in given:
                if not isinstance(constraint, kind):
                    raise NetworkError(f"tables are Table and sums are Sum, not {constraint!r}")
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
    """Raise unless every cost is a whole number of a known value, and all together still add up exactly."""
    largest: dict[str, int] = {}
    for key, cost in _mapped(costs, "costs").items():
        if not _is_pair(key):
            raise NetworkError(f"a cost is for a pair of variable and value, not for {key!r}")
        name, value = key
        if value not in network.variables.get(name, ()):
            check_choice(network, name, value)
        if type(cost) is not int and not _is_whole(cost):
            raise NetworkError(f"the cost of {name} = {value!r} is {cost!r}; give a whole number")
        largest[name] = max(largest.get(name, 0), abs(cost))
    if sum(largest.values()) > LARGEST_TOTAL:
        raise NetworkError("the costs are too large to add up exactly; give them in a larger unit")


def check_choices(network: Network, choices: Choices) -> None:
    """Raise unless the network has all these variables and values."""
    for name, value in _mapped(choices, "choices").items():
        check_choice(network, name, value)


def check_choice(network: Network, name: str, value: Hashable) -> None:
    """Raise unless the network has that variable and that value."""
    check_variable(network, name)
    if value not in network.variables[name]:
        raise NetworkError(f"{name} has no value {value!r}; it has {network.variables[name][:5]!r}...")


def check_variable(network: Network, name: str) -> None:
    """Raise unless the network has that variable."""
    if name not in network.variables:
        known = ", ".join(list(network.variables)[:5])
        raise NetworkError(f"there is no variable {name!r}; there are {known}...")


def _check_scope(scope: Any) -> None:
    if not isinstance(scope, tuple) or not scope or not all(isinstance(name, str) for name in scope):
        raise NetworkError(f"a scope is a tuple of one or more variable names, not {scope!r}")
    if len(set(scope)) != len(scope):
        raise NetworkError(f"a scope names a variable twice: {scope!r}")


def _is_whole(value: Any) -> bool:
    return isinstance(value, int) and not isinstance(value, bool)


def _is_pair(value: Any) -> bool:
    return isinstance(value, tuple | list) and len(value) == 2


def _mapped(given: Any, what: str) -> Mapping[Any, Any]:
    if not isinstance(given, Mapping):
        raise NetworkError(f"{what}: give a mapping, not {given!r}")
    return given


def _listed(given: Any, what: str, wanted: str) -> tuple[Any, ...]:
    """As a tuple; a text, which would fall apart into letters, is none."""
    if isinstance(given, str) or not isinstance(given, Iterable):
        raise NetworkError(f"{what}: give {wanted}, not {given!r}")
    return tuple(given)
