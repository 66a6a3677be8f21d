"""What whole answers take, each bundle of things once: a pass up through the diagram with sets of them.

There may be millions of whole answers that take the same few things; only what they take is carried up.
"""

from __future__ import annotations

from collections.abc import Collection, Hashable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import partial, reduce
from typing import Final

import numpy as np
from numpy.typing import NDArray

from kits.solver.compiled import Compiled
from kits.solver.diagram import Diagram, Level
from kits.solver.errors import NetworkError
from kits.solver.network import Cost, check_choice
from kits.solver.passes import Floats
from kits.solver.relations import Ints
from kits.solver.weighing import weigh

LIMIT: Final = 2_000
_ON_THE_WAY: Final = 100  # So many times the limit may there be in all nodes, or in one before it is sifted.


@dataclass(frozen=True)
class Bundle:
    """What a whole answer takes of each thing, and the cheapest such answer: its cost and its values."""

    takes: Mapping[Hashable, int]
    cost: int
    answer: Mapping[str, Hashable]


class _TooMany(Exception):
    pass


@dataclass(frozen=True, eq=False)
class _Some:
    """Bundles of a part of the network: a row of `takes` for each, its cost, and its values by number."""

    takes: Ints
    costs: Ints
    values: list[tuple[int, ...]]


def bundles(
    compiled: Compiled,
    takes: Mapping[Cost, Mapping[Hashable, int]],
    costs: Mapping[Cost, int],
    barred: Collection[Cost] = (),
    limit: int = LIMIT,
) -> list[Bundle] | None:
    """Every bundle that some whole answer takes, without those that another beats; the cheapest first.

    `takes` says how many of which things a value takes; no answer uses a value that is `barred`. One
    bundle beats another that costs no less and takes no less of anything: it can always stand in for it.
    None where more than `limit` have to be told apart, or far more on the way.
    """
    if not isinstance(limit, int) or limit < 1:
        raise NetworkError(f"the limit is a whole number of bundles of 1 or more, not {limit!r}")
    for name, value in takes:
        check_choice(compiled.network, name, value)
    if compiled.diagram is None:
        return []
    things = list(dict.fromkeys(thing for some in takes.values() for thing in some))
    weights = weigh(compiled.network, compiled.numbering, costs, barred)
    vectors = np.zeros((sum(compiled.built.sizes), max(len(things), 1)), np.int64)
    for (name, value), some in takes.items():
        for thing, number in some.items():
            vectors[compiled.numbering.place(name, value), things.index(thing)] = number
    hidden = np.zeros(len(vectors) - len(weights))
    try:
        found = _upwards(compiled.diagram, vectors, np.r_[weights, hidden], limit)
    except _TooMany:
        return None
    return [_told(compiled, things, found, number) for number in np.argsort(found.costs, kind="stable")]


def _upwards(diagram: Diagram, vectors: Ints, weights: Floats, limit: int) -> _Some:
    """The bundles of the root, every node after its children."""
    none = np.zeros((0, vectors.shape[1]), np.int64)
    nodes = [_Some(np.zeros((1, vectors.shape[1]), np.int64), np.zeros(1, np.int64), [()])]
    in_all = 0
    for level in diagram.levels:
        rows = _rows(level)
        for count in np.diff(np.r_[level.row_starts, len(level.values)]):
            parts = [_Some(none, np.zeros(0, np.int64), [])]
            for _ in range(count):
                value, children = next(rows)
                if value < 0 or np.isfinite(weights[value]):
                    below = [nodes[child] for child in children]
                    joined = reduce(partial(_joined, limit=limit), below)
                    parts.append(joined if value < 0 else _with(joined, value, vectors, weights))
            nodes.append(_sifted(_together(parts), limit))
            in_all += len(nodes[-1].costs)
            if in_all > _ON_THE_WAY * limit:
                raise _TooMany
    return nodes[-1]


def _rows(level: Level) -> Iterator[tuple[int, Sequence[int]]]:
    """The value and the children of each row."""
    ends = [*level.child_starts[1:].tolist(), len(level.children)]
    for value, start, end in zip(level.values.tolist(), level.child_starts.tolist(), ends, strict=True):
        yield value, level.children[start:end].tolist()


def _joined(one: _Some, other: _Some, limit: int) -> _Some:
    """Each bundle of the one with each of the other."""
    if len(one.costs) * len(other.costs) > _ON_THE_WAY * limit:
        raise _TooMany
    takes = (one.takes[:, None] + other.takes[None]).reshape(-1, one.takes.shape[1])
    costs = (one.costs[:, None] + other.costs[None]).ravel()
    return _sifted(_Some(takes, costs, [(*a, *b) for a in one.values for b in other.values]), limit)


def _with(some: _Some, value: int, vectors: Ints, weights: Floats) -> _Some:
    return _Some(
        some.takes + vectors[value], some.costs + int(weights[value]), [(*one, value) for one in some.values]
    )


def _together(parts: Sequence[_Some]) -> _Some:
    return _Some(
        np.concatenate([one.takes for one in parts]),
        np.concatenate([one.costs for one in parts]),
        [values for one in parts for values in one.values],
    )


def _sifted(some: _Some, limit: int) -> _Some:
    """Without those that another beats; of equal ones the first listed."""
    if len(some.costs) > _ON_THE_WAY * limit:
        raise _TooMany
    order = np.lexsort((some.takes.sum(axis=1), some.costs))
    takes = some.takes[order]
    _, first = np.unique(takes, axis=0, return_index=True)
    left = np.zeros(len(order), np.bool_)
    left[first] = True
    kept: list[int] = []
    for place in range(len(order)):
        if left[place]:
            kept.append(place)
            if len(kept) > limit:
                raise _TooMany
            left[place + 1 :] &= ~_no_less(takes[place + 1 :], takes[place])
    chosen = order[kept]
    return _Some(some.takes[chosen], some.costs[chosen], [some.values[place] for place in chosen])


def _no_less(takes: Ints, than: Ints) -> NDArray[np.bool_]:
    return np.asarray((takes >= than).all(axis=1))


def _told(compiled: Compiled, things: Sequence[Hashable], some: _Some, number: int) -> Bundle:
    numbering, answer = compiled.numbering, {}
    for value in sorted(one for one in some.values[number] if one < numbering.offsets[-1]):
        place = int(np.searchsorted(numbering.offsets, value, "right")) - 1
        answer[numbering.names[place]] = numbering.values[place][value - int(numbering.offsets[place])]
    takes = {thing: int(n) for thing, n in zip(things, some.takes[number], strict=False) if n}
    return Bundle(takes, int(some.costs[number]), answer)
