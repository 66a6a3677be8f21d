"""From a network to relations: names and values as numbers, sums and bans as small tables."""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from math import prod
from typing import Final

import numpy as np

from kits.solver.automata import Limits, as_tables, forbidden_layers, hidden_sizes, minimised, sum_layers
from kits.solver.errors import TooLarge
from kits.solver.network import Choices, Constraint, Network, Sum, Table
from kits.solver.relations import Ints, Relation, antijoin, everything

# A ban over fewer combinations than this is written out as what it allows.
_SMALL: Final = 20_000


@dataclass(frozen=True)
class Numbering:
    """Variables and values by number: value i of variable v is number `offsets[v]` + i among all."""

    names: tuple[str, ...]
    values: tuple[tuple[Hashable, ...], ...]
    variable: Mapping[str, int]
    value: tuple[Mapping[Hashable, int], ...]
    offsets: Ints

    @classmethod
    def of(cls, network: Network) -> Numbering:
        """In the order of the network."""
        names, values = tuple(network.variables), tuple(map(tuple, network.variables.values()))
        numbers = tuple({value: i for i, value in enumerate(vs)} for vs in values)
        sizes = [len(vs) for vs in values]
        return cls(names, values, {n: i for i, n in enumerate(names)}, numbers, np.r_[0, np.cumsum(sizes)])

    @property
    def sizes(self) -> list[int]:
        """How many values each variable has."""
        return [len(values) for values in self.values]

    @cached_property
    def _starts(self) -> list[int]:
        """The offsets as plain numbers, which are quicker to look up one by one."""
        return [int(offset) for offset in self.offsets]

    def span(self, name: str) -> tuple[int, int]:
        """Where the values of a variable begin and end among all."""
        variable = self.variable[name]
        return self._starts[variable], self._starts[variable + 1]

    def place(self, name: str, value: Hashable) -> int:
        """The number of a value among all."""
        variable = self.variable[name]
        return self._starts[variable] + self.value[variable][value]


@dataclass(frozen=True)
class Built:
    """The relations of each constraint, by its place in the network; and the size of every variable.

    Hidden variables are numbered behind the network's own.
    """

    parts: tuple[tuple[Relation, ...], ...]
    sizes: tuple[int, ...]

    @property
    def relations(self) -> list[Relation]:
        """All of them."""
        return [relation for part in self.parts for relation in part]


def build_relations(network: Network, numbering: Numbering, cap: int) -> Built:
    """Every constraint as relations; TooLarge where one would pass `cap` rows."""
    sizes = list(numbering.sizes)
    parts = [tuple(_relations_of(one, numbering, sizes, cap)) for one in network.constraints]
    return Built(tuple(parts), tuple(sizes))


def build_what_fits(network: Network, numbering: Numbering, cap: int) -> Built:
    """As build_relations, but a constraint that would pass the cap has no relations: good to narrow with."""
    sizes = list(numbering.sizes)
    parts: list[tuple[Relation, ...]] = []
    for one in network.constraints:
        try:
            parts.append(tuple(_relations_of(one, numbering, sizes, cap)))
        except TooLarge:
            parts.append(())
    return Built(tuple(parts), tuple(sizes))


def fixing(choices: Choices, numbering: Numbering) -> list[Relation]:
    """Each choice as a relation of one row."""
    variables = [numbering.variable[name] for name in choices]
    return [
        Relation((variable,), np.array([[numbering.value[variable][value]]], np.int64))
        for variable, value in zip(variables, choices.values(), strict=True)
    ]


def _relations_of(
    constraint: Constraint, numbering: Numbering, sizes: list[int], cap: int
) -> Sequence[Relation]:
    """Hidden variables are added to `sizes` as they are needed."""
    scope = [numbering.variable[name] for name in constraint.scope]
    if isinstance(constraint, Sum):
        lengths = [
            np.array([constraint.lengths[name][value] for value in numbering.values[v]], np.int64)
            for name, v in zip(constraint.scope, scope, strict=True)
        ]
        layers = sum_layers(lengths, Limits(constraint.at_least, constraint.at_most), cap)
    else:
        rows = _numbered(constraint, scope, numbering)
        if constraint.allowed:
            return [Relation(tuple(scope), rows)]
        if prod(sizes[v] for v in scope) <= _SMALL:
            whole = everything(scope, sizes, _SMALL)
            return [antijoin(whole, Relation(tuple(scope), rows), sizes)]
        layers = forbidden_layers(rows, [sizes[v] for v in scope])
    smallest = minimised(layers)
    if smallest is None:
        return [Relation((scope[0],), np.zeros((0, 1), np.int64))]
    hidden = len(sizes)
    sizes += hidden_sizes(smallest)
    return list(as_tables(scope, smallest, hidden))


def _numbered(table: Table, scope: Sequence[int], numbering: Numbering) -> Ints:
    rows = [[numbering.value[v][value] for v, value in zip(scope, row, strict=True)] for row in table.rows]
    return np.array(rows, np.int64).reshape(len(rows), len(scope))
