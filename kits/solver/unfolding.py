"""A compiled network as places to fill in: at each place one of several ways, that leads to further places.

Whoever takes one way at every place that they come to has one whole answer, and each answer is had so. So
many answers at once are a flow of whole numbers down these places, which an integer programme can plan.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from itertools import chain

import numpy as np

from kits.solver.compiled import Compiled
from kits.solver.diagram import Level
from kits.solver.network import Cost, check_variable
from kits.solver.weighing import weigh


@dataclass(frozen=True)
class Way:
    """A value that counts (None: nothing that does), and the places that are to be filled in then."""

    value: Cost | None
    then: tuple[int, ...]


@dataclass(frozen=True)
class Unfolded:
    """The places by number, each after the ones that it leads to; every answer fills those in `first`.

    Some answer comes to each of them.
    """

    places: tuple[tuple[Way, ...], ...]
    first: tuple[int, ...]


def unfolded(compiled: Compiled, counting: Collection[str], barred: Collection[Cost] = ()) -> Unfolded | None:
    """The places of a network, None where no whole answer is left without the `barred` values.

    Only the values of the variables in `counting` are told: answers that differ in others are one. Raises
    NetworkError for a variable that the network has not.
    """
    for name in counting:
        check_variable(compiled.network, name)
    if compiled.diagram is None:
        return None
    weights = weigh(compiled.network, compiled.numbering, {}, barred)
    told = _by_number(compiled, counting)
    folding = _Folding()
    nodes: list[tuple[int, ...] | None] = [()]
    for level in compiled.diagram.levels:
        rows = _rows(level)
        for count in np.diff(np.r_[level.row_starts, len(level.values)]):
            ways: dict[Way, None] = {}
            for _ in range(count):
                value, children = next(rows)
                below = [nodes[child] for child in children]
                if (value < 0 or np.isfinite(_at(weights, value))) and None not in below:
                    then = tuple(sorted(chain.from_iterable(one for one in below if one)))
                    ways[Way(told.get(value), then)] = None
            nodes.append(folding.fold(tuple(ways)))
    first = nodes[-1]
    return None if first is None else _come_to(folding.places, first)


def _come_to(places: Sequence[tuple[Way, ...]], first: tuple[int, ...]) -> Unfolded:
    """Without the places that only values lead to which no whole answer has."""
    reached = set(first)
    for number in reversed(range(len(places))):
        if number in reached:
            reached.update(*(way.then for way in places[number]))
    new = {old: number for number, old in enumerate(sorted(reached))}

    def renumbered(then: tuple[int, ...]) -> tuple[int, ...]:
        return tuple(new[one] for one in then)

    kept = (tuple(Way(way.value, renumbered(way.then)) for way in places[old]) for old in new)
    return Unfolded(tuple(kept), renumbered(first))


class _Folding:
    """Equal places are one, and a place that leaves no choice is none."""

    def __init__(self) -> None:
        self.places: list[tuple[Way, ...]] = []
        self.number: dict[tuple[Way, ...], int] = {}

    def fold(self, ways: tuple[Way, ...]) -> tuple[int, ...] | None:
        """The places that stand for one with these ways; None where it has none."""
        if not ways:
            return None
        if len(ways) == 1 and ways[0].value is None:
            return ways[0].then
        if ways not in self.number:
            self.number[ways] = len(self.places)
            self.places.append(ways)
        return (self.number[ways],)


def _by_number(compiled: Compiled, counting: Collection[str]) -> dict[int, Cost]:
    numbering = compiled.numbering
    return {
        numbering.place(name, value): (name, value)
        for name in counting
        for value in compiled.network.variables[name]
    }


def _at(weights: np.ndarray[tuple[int], np.dtype[np.float64]], value: int) -> float:
    """Hidden values, after all others, are never barred."""
    return float(weights[value]) if value < len(weights) else 0.0


def _rows(level: Level) -> Iterator[tuple[int, Sequence[int]]]:
    """The value and the children of each row."""
    ends = [*level.child_starts[1:].tolist(), len(level.children)]
    for value, start, end in zip(level.values.tolist(), level.child_starts.tolist(), ends, strict=True):
        yield value, level.children[start:end].tolist()
