"""Possible or not, by an incremental SAT solver (python-sat): an oracle for tests, a rival in the bench.

A variable's values are literals of which one holds; an allowed row is a literal that brings its values
with it; a forbidden row is a clause. A sum becomes the same layers of running states that kits.solver
makes of it, each step a clause.
"""

from collections.abc import Hashable, Iterable, Iterator
from itertools import product

from pysat.solvers import Solver

from kits.solver import Choices, Network, Table
from kits.solver.building import Numbering, build_relations

Literal = int


class Sat:
    """A network told to a SAT solver once, and asked many times."""

    def __init__(self, network: Network, name: str = "cadical195") -> None:
        self.network = network
        self.literals = {
            (variable, value): number
            for number, (variable, value) in enumerate(
                ((variable, value) for variable, values in network.variables.items() for value in values), 1
            )
        }
        self.used = len(self.literals)
        self.solver = Solver(name=name)
        for variable, values in network.variables.items():
            self._exactly_one([self.literals[variable, value] for value in values])
        for table in network.tables:
            self._table(table)
        if network.sums:
            self._sums(network)

    def possible(self, choices: Choices) -> bool:
        return bool(self.solver.solve(assumptions=[self.literals[choice] for choice in choices.items()]))

    def options(self, choices: Choices) -> dict[str, dict[Hashable, bool]]:
        """For every value whether a whole answer has it, other choices kept; witnesses spare questions."""
        found = {
            variable: dict.fromkeys(values, False) for variable, values in self.network.variables.items()
        }
        kept = [self.literals[choice] for choice in choices.items()]
        if self.solver.solve(assumptions=kept):
            self._witnessed(found)
        for variable, values in self.network.variables.items():
            others = [self.literals[choice] for choice in choices.items() if choice[0] != variable]
            for value in values:
                if not found[variable][value]:
                    asked = [*others, self.literals[variable, value]]
                    if self.solver.solve(assumptions=asked):
                        found[variable][value] = True
                        if variable not in choices:
                            self._witnessed(found)
        return found

    def close(self) -> None:
        self.solver.delete()

    def _witnessed(self, found: dict[str, dict[Hashable, bool]]) -> None:
        model = self.solver.get_model() or []
        for (variable, value), literal in self.literals.items():
            if model[literal - 1] > 0:
                found[variable][value] = True

    def _exactly_one(self, literals: list[Literal]) -> None:
        self.solver.add_clause(literals)
        for i, one in enumerate(literals):
            for other in literals[:i]:
                self.solver.add_clause([-one, -other])

    def _table(self, table: Table) -> None:
        rows: Iterator[list[Literal]] = (
            [self.literals[choice] for choice in zip(table.scope, row, strict=True)] for row in table.rows
        )
        if table.allowed:
            self._one_of(rows)
            return
        for row in rows:
            self.solver.add_clause([-literal for literal in row])

    def _one_of(self, rows: Iterable[list[Literal]]) -> None:
        taken = []
        for row in rows:
            self.used += 1
            taken.append(self.used)
            for literal in row:
                self.solver.add_clause([-self.used, literal])
        self.solver.add_clause(taken)

    def _sums(self, network: Network) -> None:
        """From a running state and a value follows the next state: a clause for each step."""
        only_sums = Network(network.variables, (), network.sums)
        built = build_relations(only_sums, Numbering.of(only_sums), 10**6)
        literals = [
            [self.literals[name, value] for value in values] for name, values in network.variables.items()
        ]
        visible = len(literals)
        for size in built.sizes[visible:]:
            literals.append(list(range(self.used + 1, self.used + size + 1)))
            self.used += size
        for relation in built.relations:
            steps = 1 if relation.scope[-1] >= visible else 0  # None is kept after the last variable.
            given = relation.scope[: len(relation.scope) - steps]
            following = {tuple(row[: len(given)]): row[len(given) :] for row in relation.rows.tolist()}
            for row in product(*(range(built.sizes[v]) for v in given)):
                clause = [-literals[v][x] for v, x in zip(given, row, strict=True)]
                if row not in following:
                    self.solver.add_clause(clause)
                elif steps:
                    self.solver.add_clause([*clause, literals[relation.scope[-1]][following[row][0]]])
