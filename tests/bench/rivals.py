"""CP-SAT on a network, as plainly as its interface invites to.

Incremental SAT, the other rival, is in tests/kits/solver/sat.py.
"""

from collections.abc import Hashable, Mapping

from ortools.sat.python import cp_model

from kits.solver import Choices, Network, Sum


class CpSat:
    """A model made once; each question adds the choices and the costs to a copy."""

    def __init__(self, network: Network, seconds: float) -> None:
        self.network, self.seconds = network, seconds
        self.model = cp_model.CpModel()
        self.numbers = {
            name: {value: i for i, value in enumerate(values)} for name, values in network.variables.items()
        }
        self.literals = {
            (name, value): self.model.new_bool_var(f"{name} = {value}")
            for name, values in network.variables.items()
            for value in values
        }
        self.places = {
            name: self.model.new_int_var(0, len(values) - 1, name)
            for name, values in network.variables.items()
        }
        for name, values in network.variables.items():
            self.model.add_exactly_one(self.literals[name, value] for value in values)
            self.model.add(self.places[name] == sum(i * self.literals[name, v] for i, v in enumerate(values)))
        self._constrain(network)

    def best(
        self, choices: Choices, costs: Mapping[tuple[str, Hashable], int]
    ) -> tuple[dict[str, Hashable], int]:
        """A cheapest whole answer and its cost; the best that it found in its time."""
        model = self.model.clone()
        for name, value in choices.items():
            model.add(
                model.get_int_var_from_proto_index(self.places[name].index) == self.numbers[name][value]
            )
        model.minimize(
            sum(
                cost * model.get_bool_var_from_proto_index(self.literals[key].index)
                for key, cost in costs.items()
            )
        )
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = 1
        solver.parameters.max_time_in_seconds = self.seconds
        status = solver.solve(model)
        assert status in {cp_model.OPTIMAL, cp_model.FEASIBLE}, solver.status_name(status)
        answer = {
            name: values[solver.value(self.places[name])] for name, values in self.network.variables.items()
        }
        return answer, int(solver.objective_value)

    def _constrain(self, network: Network) -> None:
        for table in network.tables:
            scope = [self.places[name] for name in table.scope]
            rows = [
                tuple(self.numbers[name][value] for name, value in zip(table.scope, row, strict=True))
                for row in table.rows
            ]
            if table.allowed:
                self.model.add_allowed_assignments(scope, rows)
            else:
                self.model.add_forbidden_assignments(scope, rows)
        for one in network.sums:
            self._limit(one)

    def _limit(self, one: Sum) -> None:
        low, high = (
            sum(
                one.lengths[name][value][end] * self.literals[name, value]
                for name in one.scope
                for value in self.network.variables[name]
            )
            for end in (0, 1)
        )
        if one.at_least is not None:
            self.model.add(low >= one.at_least)
        if one.at_most is not None:
            self.model.add(high <= one.at_most)
