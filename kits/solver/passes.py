"""Upwards and downwards through a diagram: least costs, possibilities and counts."""

from __future__ import annotations

from typing import Any, Final, TypeVar

import numpy as np
from numpy.typing import NDArray

from kits.solver.diagram import Diagram
from kits.solver.relations import Ints

Floats = NDArray[np.float64]
_FEW_ENOUGH: Final = 2.0**60
Numbers = TypeVar("Numbers", Floats, Ints)


def least_below(diagram: Diagram, weights: Numbers) -> tuple[Numbers, list[Numbers]]:
    """The least cost of each node's best continuation, and of each row, level by level.

    `weights` has a cost for every value; infinity forbids it. Whole costs up to 2**53 stay exact in floats.
    """
    best = np.zeros(diagram.nodes, weights.dtype)
    rows = []
    for level in diagram.levels[:-1]:
        cost = np.add.reduceat(best[level.children], level.child_starts)
        cost += weights[level.values]
        rows.append(cost)
        best[level.first : level.last] = np.minimum.reduceat(cost, level.row_starts)
    root = diagram.levels[-1]
    total = np.add.reduceat(best[root.children], root.child_starts)
    rows.append(total)
    best[root.first] = total[0]
    return best, rows


def least_through(diagram: Diagram, best: Ints, rows: list[Ints]) -> Ints:
    """For every value that the diagram knows (`values_seen`) the least cost of a whole answer with it.

    What lies outside of a node is what goes through a row above it, less the node itself: so no weight
    may be infinite here.
    """
    outside = np.zeros(diagram.nodes, np.int64)
    through = np.empty(diagram.rows, np.int64)
    end = diagram.rows
    for level, cost in zip(reversed(diagram.levels), reversed(rows), strict=True):
        if len(level.into_rows):
            without = through[level.into_rows] - best[level.into_nodes]
            outside[level.first : level.last] = np.minimum.reduceat(without, level.into_starts)
        start = end - len(cost)
        np.add(cost, outside[level.row_nodes], out=through[start:end])
        end = start
    return np.minimum.reduceat(through[diagram.by_value], diagram.value_starts)


def count(diagram: Diagram, allowed: NDArray[np.bool_]) -> int:
    """How many answers use only allowed values, exactly, however many there are.

    First about how many, in floats: where they are few enough, 64 bits count them, else Python's numbers.
    """
    with np.errstate(over="ignore", invalid="ignore"):
        about = _ways(diagram, allowed.astype(np.float64)).max()
    exact = _ways(diagram, allowed.astype(np.int64 if about < _FEW_ENOUGH else object))
    return int(exact[-1])


def _ways(diagram: Diagram, may: NDArray[Any]) -> NDArray[Any]:
    """How many answers there are below each node; `may` is 1 for a value that is allowed, else 0."""
    ways = np.ones(diagram.nodes, may.dtype)
    for level in diagram.levels[:-1]:
        each = np.multiply.reduceat(ways[level.children], level.child_starts) * may[level.values]
        ways[level.first : level.last] = np.add.reduceat(each, level.row_starts)
    ways[-1] = np.multiply.reduce(ways[diagram.levels[-1].children])
    return ways


def best_values(diagram: Diagram, rows: list[Floats]) -> Ints:
    """The value numbers of one cheapest answer; of equals the first value of each variable in turn."""
    starts = {level.first: (level, cost) for level, cost in zip(diagram.levels, rows, strict=True)}
    firsts = np.array(list(starts))
    found: list[int] = []
    waiting = [diagram.nodes - 1]
    while waiting:
        node = waiting.pop()
        if node == 0:
            continue
        level, cost = starts[int(firsts[np.searchsorted(firsts, node, "right") - 1])]
        begin, end = _part(level.row_starts, node - level.first, len(cost))
        row = begin + int(np.argmin(cost[begin:end]))
        if level.values[row] >= 0:
            found.append(int(level.values[row]))
        begin, end = _part(level.child_starts, row, len(level.children))
        waiting += level.children[begin:end].tolist()
    return np.array(found, np.int64)


def _part(starts: Ints, place: int, length: int) -> tuple[int, int]:
    """Where a part of an array begins and ends."""
    return int(starts[place]), int(starts[place + 1]) if place + 1 < len(starts) else length
