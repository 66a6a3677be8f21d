"""A network compiled once, and asked many times."""

from __future__ import annotations

from collections.abc import Collection, Hashable, Mapping, Sequence
from dataclasses import dataclass
from typing import ClassVar, Final

import numpy as np

from kits.solver.answers import Conflict, Engine, Repair, Size
from kits.solver.building import Built, Numbering, build_relations
from kits.solver.consistency import absorbed, full_domains, narrow, pairwise
from kits.solver.diagram import Diagram, build
from kits.solver.elimination import eliminate, min_fill_order
from kits.solver.errors import Barred, Contradiction, NetworkError, TooLarge
from kits.solver.explaining import explain, leave_an_answer, refuting
from kits.solver.network import Choices, Cost, Network, check_choice, check_choices
from kits.solver.passes import Floats, best_values, count, least_below, least_through
from kits.solver.relations import Ints, Mask, Relation
from kits.solver.repairing import repair
from kits.solver.weighing import weigh

Options = dict[str, dict[Hashable, int | None]]
ROW_CAP: Final = 3_000_000
SEARCH_SECONDS: Final = 600.0  # For a conflict, where some of the constraints need more rows than all.


@dataclass(frozen=True, eq=False)
class Compiled:
    """The diagram of a network; `diagram` is None where the network has no answer at all."""

    engine: ClassVar[Engine] = "diagram"
    network: Network
    numbering: Numbering
    built: Built
    diagram: Diagram | None
    size: Size

    def engine_for(self, choices: Choices) -> Engine:
        """Always itself."""
        self._check(choices)
        return self.engine

    def within(self, seconds: float) -> Compiled:  # noqa: ARG002  # other engines have a time limit
        """Itself: it needs no time limit."""
        return self

    def options(
        self, choices: Choices, costs: Mapping[Cost, int] | None = None, barred: Collection[Cost] = ()
    ) -> Options:
        """For every value the least total cost of a whole answer with it beside the choices, else None.

        The options of a chosen variable are what it could be changed to, the other choices kept. `costs`
        takes the place of the network's own; no answer uses a value that is `barred`. Contradiction where
        the choices exclude each other, whatever is barred.
        """
        self._check(choices)
        least, breaks = self._through(choices, self._weights(costs), self._places(barred))
        if 0 not in breaks and not self.possible(choices):
            raise Contradiction(self.conflict(choices))
        return self._told(choices, least, breaks)

    def changes(
        self, choices: Choices, costs: Mapping[Cost, int] | None = None, barred: Collection[Cost] = ()
    ) -> Options:
        """As `options`, and told of choices that exclude each other too.

        Of those every value but what a single one of them can be changed to is None.
        """
        self._check(choices)
        return self._told(choices, *self._through(choices, self._weights(costs), self._places(barred)))

    def _told(self, choices: Choices, least: list[int], breaks: list[int]) -> Options:
        told = [cost if broken == 0 else None for cost, broken in zip(least, breaks, strict=True)]
        found: Options = {}
        for name, values in zip(self.numbering.names, self.numbering.values, strict=True):
            start, end = self.numbering.span(name)
            found[name] = dict(zip(values, told[start:end], strict=True))
        for name, chosen in choices.items():  # Any other value breaks that choice; it may break no other.
            start, _ = self.numbering.span(name)
            for place, value in enumerate(self.numbering.values[self.numbering.variable[name]], start):
                if value != chosen and breaks[place] == 1:
                    found[name][value] = least[place]
        return found

    def possible(self, choices: Choices, barred: Collection[Cost] = ()) -> bool:
        """Whether there is a whole answer with these choices and without what is barred."""
        return self._least(choices, self._weights({}, barred)) is not None

    def count(self, choices: Choices) -> int:
        """How many whole answers the choices leave, exactly."""
        self._check(choices)
        return (
            0
            if self.diagram is None
            else count(self.diagram, np.isfinite(self._chosen(choices, self.free())))
        )

    def best(
        self, choices: Choices, costs: Mapping[Cost, int] | None = None, barred: Collection[Cost] = ()
    ) -> tuple[dict[str, Hashable], int]:
        """A cheapest whole answer and its cost; of equals always the same.

        Contradiction if the choices have no answer, Barred if they have none without what is barred.
        """
        found = self.cheapest(choices, self._weights(costs, barred))
        if found is None:
            raise Barred(barred) if self.possible(choices) else Contradiction(self.conflict(choices))
        return found

    def conflict(self, choices: Choices, variable: str | None = None, value: Hashable = None) -> Conflict:
        """Why a value is not possible beside the choices, or (without one) why the choices are not.

        An earlier choice of the same variable does not count: it is what would be changed.
        """
        return explain(self, choices, variable, value)

    def repairs(
        self,
        choices: Choices,
        variable: str,
        value: Hashable,
        n: int,
        costs: Mapping[Cost, int] | None = None,
        change_costs: Mapping[str, int] | None = None,
    ) -> list[Repair]:
        """The n cheapest smallest sets of changed choices with which the value is possible.

        `change_costs` says what changing each choice costs, 1 where it does not say; `costs` chooses what
        the changed ones change to. Empty where no change helps; one empty set where none is needed.
        """
        return repair(self, choices, variable, value, n, costs, change_costs)

    def cheapest(self, choices: Choices, weights: Floats) -> tuple[dict[str, Hashable], int] | None:
        """As `best`, with a weight for every value by its number; None where there is no answer."""
        self._check(choices)
        if self.diagram is None:
            return None
        best, rows = least_below(self.diagram, self._chosen(choices, weights))
        total = best[-1]
        if not np.isfinite(total):
            return None
        visible = self.numbering.offsets[-1]
        answer: dict[str, Hashable] = {}
        for number in sorted(int(v) for v in best_values(self.diagram, rows) if v < visible):
            place = int(np.searchsorted(self.numbering.offsets, number, "right")) - 1
            value = self.numbering.values[place][number - int(self.numbering.offsets[place])]
            answer[self.numbering.names[place]] = value
        return answer, int(total)

    def _least(self, choices: Choices, weights: Floats) -> float | None:
        self._check(choices)
        if self.diagram is None:
            return None
        best, _ = least_below(self.diagram, self._chosen(choices, weights))
        return float(best[-1]) if np.isfinite(best[-1]) else None

    def _through(self, choices: Choices, weights: Floats, barred: list[int]) -> tuple[list[int], list[int]]:
        """The least cost through each value, by number, and how many choices it breaks; -1 if impossible.

        One pass for all of them: breaking a choice costs more than everything else can, so that the least
        cost breaks the fewest choices, and says how many. A barred value counts as two broken choices.
        """
        visible = int(self.numbering.offsets[-1])
        costs, breaks = np.zeros(visible, np.int64), np.full(visible, -1, np.int64)
        if self.diagram is None:
            return costs.tolist(), breaks.tolist()
        penalised = weights.astype(np.int64)
        largest = np.maximum.reduceat(np.abs(penalised[:visible]), self.numbering.offsets[:-1]).sum()
        breach = 2 * int(largest) + 1
        for name, value in choices.items():
            start, end = self.numbering.span(name)
            penalised[start:end] += breach
            penalised[self.numbering.place(name, value)] -= breach
        penalised[barred] = 2 * breach
        through = least_through(self.diagram, *least_below(self.diagram, penalised))
        of_visible = self.diagram.values_seen < visible
        seen = self.diagram.values_seen[of_visible]
        breaks[seen] = (through[of_visible] + breach // 2) // breach
        costs[seen] = through[of_visible] - breaks[seen] * breach
        return costs.tolist(), breaks.tolist()

    def suspects(self, fixed: Choices, among: Sequence[int]) -> list[int] | None:
        """Those of some constraints that plainly refute the fixed values; None where it is not plain."""
        return refuting(self.built, self.numbering, fixed, among)

    def satisfiable(self, fixed: Choices, places: Sequence[int]) -> bool:
        """Whether just these constraints leave an answer with the fixed values."""
        try:
            return leave_an_answer(self.built, self.numbering, fixed, places, ROW_CAP)
        except TooLarge:  # Fewer constraints may leave more rows than all of them: then it is searched.
            from kits.solver.searching import Search

            return Search(self.network, self.numbering, self.built, SEARCH_SECONDS).satisfiable(fixed, places)

    def free(self) -> Floats:
        """A weight of nothing for every value."""
        return np.zeros(sum(self.built.sizes))

    def _weights(self, costs: Mapping[Cost, int] | None, barred: Collection[Cost] = ()) -> Floats:
        """The cost of every value by its number, infinite where barred; hidden ones cost nothing."""
        weights = self.free()
        weights[: self.numbering.offsets[-1]] = weigh(self.network, self.numbering, costs, barred)
        return weights

    def _places(self, barred: Collection[Cost]) -> list[int]:
        for name, value in barred:
            check_choice(self.network, name, value)
        return [self.numbering.place(name, value) for name, value in barred]

    def _chosen(self, choices: Choices, weights: Floats) -> Floats:
        """The weights with every value that a choice excludes forbidden."""
        chosen = weights.copy()
        for name, value in choices.items():
            start, end = self.numbering.span(name)
            keep = self.numbering.place(name, value)
            weight = chosen[keep]
            chosen[start:end] = np.inf
            chosen[keep] = weight
        return chosen

    def _check(self, choices: Choices) -> None:
        check_choices(self.network, choices)


def compile(network: Network, cap: int = ROW_CAP) -> Compiled:
    """Compile a network; TooLarge where some table or the diagram would pass `cap` rows.

    The same network always compiles to the same diagram.
    """
    if not isinstance(network, Network):
        raise NetworkError(f"compile takes a Network, not {network!r}")
    if not isinstance(cap, int) or cap < 1:
        raise NetworkError(f"the cap is a whole number of rows of 1 or more, not {cap!r}")
    numbering = Numbering.of(network)
    built = build_relations(network, numbering, cap)
    offsets = np.r_[0, np.cumsum(np.array(built.sizes, np.int64))]
    hidden_values = int(offsets[-1] - numbering.offsets[-1])
    diagram = _diagram(built, offsets, cap)
    size = Size(
        variables=len(numbering.names),
        hidden=hidden_values,
        rows=diagram.rows if diagram else 0,
        nodes=diagram.nodes if diagram else 0,
        arcs=diagram.arcs if diagram else 0,
    )
    return Compiled(network, numbering, built, diagram, size)


def _diagram(built: Built, offsets: Ints, cap: int) -> Diagram | None:
    relations = shrunk(built.relations, built.sizes)
    if relations is None:
        return None
    order = min_fill_order(relations, built.sizes)
    buckets = eliminate(relations, built.sizes, order, cap)
    return None if buckets is None else build(buckets, built.sizes, offsets, cap)


def shrunk(relations: list[Relation], sizes: Sequence[int]) -> list[Relation] | None:
    """The relations without rows that plainly lead nowhere; None where nothing is left."""
    relations, domains = list(relations), full_domains(sizes)
    if not narrow(relations, domains):
        return None
    relations = absorbed(relations, sizes)
    pairwise(relations, sizes)
    if not narrow(relations, domains):
        return None
    return relations + _domain_relations(relations, domains)


def _domain_relations(relations: list[Relation], domains: list[Mask]) -> list[Relation]:
    """A relation for each variable that stands in none."""
    covered = {v for relation in relations for v in relation.scope}
    return [
        Relation((v,), np.flatnonzero(domain).reshape(-1, 1))
        for v, domain in enumerate(domains)
        if v not in covered
    ]
