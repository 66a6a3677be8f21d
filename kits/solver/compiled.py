"""A network compiled once, and asked many times."""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from kits.solver.answers import Conflict, Repair, Size
from kits.solver.building import Built, Numbering, build_relations
from kits.solver.consistency import absorbed, full_domains, narrow, pairwise
from kits.solver.diagram import Diagram, build
from kits.solver.elimination import eliminate, min_fill_order
from kits.solver.errors import Contradiction
from kits.solver.network import Choices, Cost, Network, check_choice, check_costs
from kits.solver.passes import Floats, best_values, count, least_below, least_through
from kits.solver.relations import Ints, Mask, Relation

Options = dict[str, dict[Hashable, int | None]]
ROW_CAP: Final = 3_000_000


@dataclass(frozen=True, eq=False)
class Compiled:
    """The diagram of a network; `diagram` is None where the network has no answer at all."""

    network: Network
    numbering: Numbering
    built: Built
    diagram: Diagram | None
    size: Size

    def options(self, choices: Choices, costs: Mapping[Cost, int] | None = None) -> Options:
        """For every value the least total cost of a whole answer with it beside the choices, else None.

        The options of a chosen variable are what it could be changed to, the other choices kept. `costs`
        takes the place of the network's own. Contradiction where the choices exclude each other.
        """
        weights = self._weights(costs)
        through = self._through(choices, weights)
        if not np.isfinite(through).any():
            raise Contradiction(self.conflict(choices))
        found: Options = {}
        costs_of = iter(through.tolist())
        for name, values in zip(self.numbering.names, self.numbering.values, strict=True):
            found[name] = {value: _whole(next(costs_of)) for value in values}
        for name in choices:
            others = {other: value for other, value in choices.items() if other != name}
            start, end = self.numbering.span(name)
            changed = self._through(others, weights)[start:end].tolist()
            found[name] = {v: _whole(c) for v, c in zip(found[name], changed, strict=True)}
        return found

    def possible(self, choices: Choices) -> bool:
        """Whether there is a whole answer with these choices."""
        return self._least(choices, self.free()) is not None

    def count(self, choices: Choices) -> int:
        """How many whole answers the choices leave, exactly."""
        self._check(choices)
        return (
            0
            if self.diagram is None
            else count(self.diagram, np.isfinite(self._chosen(choices, self.free())))
        )

    def best(
        self, choices: Choices, costs: Mapping[Cost, int] | None = None
    ) -> tuple[dict[str, Hashable], int]:
        """A cheapest whole answer and its cost; of equals always the same. Contradiction if there is none."""
        found = self.cheapest(choices, self._weights(costs))
        if found is None:
            raise Contradiction(self.conflict(choices))
        return found

    def conflict(self, choices: Choices, variable: str | None = None, value: Hashable = None) -> Conflict:
        """Why a value is not possible beside the choices, or (without one) why the choices are not.

        An earlier choice of the same variable does not count: it is what would be changed.
        """
        from kits.solver.explaining import explain

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
        from kits.solver.repairing import repair

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

    def _through(self, choices: Choices, weights: Floats) -> Floats:
        """The least cost through each value, by number; infinity where there is none."""
        self._check(choices)
        visible = int(self.numbering.offsets[-1])
        found = np.full(visible, np.inf)
        if self.diagram is None:
            return found
        best, rows = least_below(self.diagram, self._chosen(choices, weights))
        through = least_through(self.diagram, best, rows)
        of_visible = self.diagram.values_seen < visible
        found[self.diagram.values_seen[of_visible]] = through[of_visible]
        return found

    def free(self) -> Floats:
        """A weight of nothing for every value."""
        return np.zeros(sum(self.built.sizes))

    def _weights(self, costs: Mapping[Cost, int] | None) -> Floats:
        """The cost of every value by its number; hidden ones cost nothing."""
        given = self.network.costs if costs is None else costs
        if costs is not None:
            check_costs(self.network, costs)
        weights = self.free()
        for (name, value), cost in given.items():
            weights[self.numbering.place(name, value)] = cost
        return weights

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
        for name, value in choices.items():
            check_choice(self.network, name, value)


def compile(network: Network, cap: int = ROW_CAP) -> Compiled:
    """Compile a network; TooLarge where some table or the diagram would pass `cap` rows.

    The same network always compiles to the same diagram.
    """
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


def _whole(cost: float) -> int | None:
    return int(cost) if np.isfinite(cost) else None
