"""A network as a model of OR-Tools CP-SAT, to be asked one question at a time.

Every value of every variable has a literal; a variable that stands in a table has a whole number too,
its value's place. The library is imported only where a model is made: it takes a second to load.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from itertools import islice
from typing import TYPE_CHECKING, Final

from kits.solver.building import Numbering
from kits.solver.errors import NetworkError
from kits.solver.limiting import WORK
from kits.solver.network import Network, Sum, Table

if TYPE_CHECKING:
    from ortools.sat.python.cp_model import CpModel, IntVar

Answer = tuple[int, ...]  # The place of the value of each variable, in the order of the network.
_GUARD: Final = 10  # How many times its share a search may take by the wall clock, on a slow machine.
_GUARD_SECONDS: Final = (
    1.0  # A small share of a busy machine may stand still for longer than ten times itself.
)


@dataclass(frozen=True)
class Outcome:
    """What a search came to: a whole answer, if it found one, and whether that (or none) is certain.

    `certain` with an answer: none is cheaper. `certain` without: there is none. `others` are whole
    answers on the way to it. `work` is what was used of the library's own measure of time.
    """

    answer: Answer | None
    others: tuple[Answer, ...]
    certain: bool
    work: float


class Model:
    """A network, or only the constraints at some places of it, ready to be searched."""

    def __init__(self, network: Network, numbering: Numbering, places: Iterable[int]) -> None:
        from ortools.sat.python.cp_model import CpModel

        self.numbering = numbering
        self.model = CpModel()
        # First of all, so that a literal's index is its value's number.
        self.literals = [self.model.new_bool_var("") for _ in range(int(numbering.offsets[-1]))]
        for name in numbering.names:
            self.model.add_exactly_one(self._of(name))
        self.whole: dict[str, IntVar] = {}
        for place in places:
            constraint = network.constraints[place]
            if isinstance(constraint, Sum):
                self._add_sum(constraint)
            else:
                self._add_table(constraint)
        if self.model.validate():
            raise NetworkError("the lengths of a sum are too large to add up; give them in a larger unit")

    def solve(
        self,
        allowed: Collection[int],
        seconds: float,
        costs: Sequence[int] | None = None,
        hint: Answer | None = None,
    ) -> Outcome:
        """A cheapest answer that uses only these values (by number), or any if there are no costs."""
        from ortools.sat.python.cp_model import (
            FEASIBLE,
            INFEASIBLE,
            MODEL_INVALID,
            OPTIMAL,
            CpSolver,
            LinearExpr,
        )

        model = self._only(allowed)
        literals = [model.get_bool_var_from_proto_index(place) for place in range(len(self.literals))]
        if costs is not None and any(costs):
            model.minimize(LinearExpr.weighted_sum(literals, costs))
        if hint is not None:
            self._add_hint(model, hint)
        solver = CpSolver()
        settings = solver.parameters
        # Many small questions: what is spent on simplifying each beforehand does not come back.
        settings.cp_model_probing_level, settings.symmetry_level = 0, 0
        settings.max_presolve_iterations = 1
        settings.num_workers, settings.random_seed, settings.linearization_level = 1, 0, 2
        settings.max_deterministic_time = seconds * WORK
        settings.fill_additional_solutions_in_response = True
        settings.max_time_in_seconds = max(seconds * _GUARD, _GUARD_SECONDS)
        status = solver.solve(model)
        if status == MODEL_INVALID:
            raise NetworkError("the costs are too large to add up; give them in a larger unit")
        if status not in (OPTIMAL, FEASIBLE):
            return Outcome(None, (), status == INFEASIBLE, solver.deterministic_time)
        response = solver.response_proto
        others = tuple(self._answer(one.values) for one in response.additional_solutions)
        certain = status == OPTIMAL or not model.has_objective()
        return Outcome(self._answer(response.solution), others, certain, solver.deterministic_time)

    def _of(self, name: str) -> list[IntVar]:
        start, end = self.numbering.span(name)
        return self.literals[start:end]

    def _number(self, name: str) -> IntVar:
        """The variable as a whole number, tied to its literals."""
        if name not in self.whole:
            literals = self._of(name)
            self.whole[name] = whole = self.model.new_int_var(0, len(literals) - 1, "")
            for place, literal in enumerate(literals):
                self.model.add(whole == place).only_enforce_if(literal)
                self.model.add(whole != place).only_enforce_if(~literal)
        return self.whole[name]

    def _add_table(self, table: Table) -> None:
        numbers = [self.numbering.value[self.numbering.variable[name]] for name in table.scope]
        rows = [
            tuple(places[value] for places, value in zip(numbers, row, strict=True)) for row in table.rows
        ]
        scope = [self._number(name) for name in table.scope]
        if table.allowed and not rows:
            self.model.add_bool_or([])  # Nothing at all is allowed.
        elif table.allowed:
            self.model.add_allowed_assignments(scope, rows)
        elif rows:
            self.model.add_forbidden_assignments(scope, rows)

    def _add_sum(self, constraint: Sum) -> None:
        """The lowest lengths reach up to the lower limit, the highest stay within the upper one."""
        from ortools.sat.python.cp_model import LinearExpr

        literals: list[IntVar] = []
        lows: list[int] = []
        highs: list[int] = []
        for name in constraint.scope:
            values = self.numbering.values[self.numbering.variable[name]]
            literals += self._of(name)
            lows += [constraint.lengths[name][value][0] for value in values]
            highs += [constraint.lengths[name][value][1] for value in values]
        if constraint.at_least is not None:
            self.model.add(LinearExpr.weighted_sum(literals, lows) >= constraint.at_least)
        if constraint.at_most is not None:
            self.model.add(LinearExpr.weighted_sum(literals, highs) <= constraint.at_most)

    def _only(self, allowed: Collection[int]) -> CpModel:
        """A copy in which every other value is ruled out."""
        model, there = self.model.clone(), set(allowed)
        for place in range(len(self.literals)):
            if place not in there:
                model.proto.variables[place].domain[1] = 0
        return model

    def _add_hint(self, model: CpModel, hint: Answer) -> None:
        for offset, place in zip(self.numbering.offsets.tolist(), hint, strict=False):
            model.add_hint(model.get_bool_var_from_proto_index(offset + place), True)

    def _answer(self, solution: Iterable[int]) -> Answer:
        true = [place for place, value in enumerate(islice(solution, len(self.literals))) if value]
        return tuple(place - int(offset) for place, offset in zip(true, self.numbering.offsets, strict=False))
