"""The tree of buckets as a diagram: equal continuations are one node, arcs lie level by level.

A node stands for a variable in a situation; each of its rows is a value that it can take there, with
the nodes of the variables that depend on it. A node is good if one of its rows is; a row is good if its
value and all its nodes are. Node 0 is the node of those that nothing depends on; the last node is the root.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from kits.solver.elimination import Bucket
from kits.solver.errors import TooLarge
from kits.solver.relations import Ints, keys


@dataclass(frozen=True, eq=False)
class Level:
    """The nodes from `first` up to `last` (not included), whose rows stand one node after the other.

    `values` has the number of each row's value among all values of all variables; `children` the nodes
    of the rows, one row after the other, and `child_starts` and `row_starts` where each row and each
    node begins. `into_*` are the arcs that lead into these nodes, sorted by node.
    """

    first: int
    last: int
    values: Ints
    children: Ints
    child_starts: Ints
    row_starts: Ints
    row_nodes: Ints
    into_rows: Ints
    into_nodes: Ints
    into_starts: Ints


@dataclass(frozen=True, eq=False)
class Diagram:
    """All levels, leaves first, and for every variable where its values stand among all values."""

    levels: tuple[Level, ...]
    nodes: int
    rows: int
    arcs: int
    by_value: Ints
    value_starts: Ints
    values_seen: Ints


@dataclass(eq=False)
class _Nodes:
    """The nodes of one bucket: for each situation its node, and the rows of each node."""

    separators: Ints
    number: Ints
    values: Ints
    children: Ints
    starts: Ints
    height: int


def build(buckets: Sequence[Bucket], sizes: Sequence[int], offsets: Ints, cap: int) -> Diagram:
    """Hash-cons every bucket after its children; TooLarge beyond `cap` arcs.

    `offsets[v]` is the number of the first value of variable v among all values of all variables.
    """
    below: list[list[int]] = [[] for _ in buckets]
    for i, bucket in enumerate(buckets):
        if bucket.parent is not None:
            below[bucket.parent].append(i)
    made: list[_Nodes] = []
    arcs = 0
    for bucket, children in zip(buckets, below, strict=True):
        made.append(_consed(bucket, [(buckets[c], made[c]) for c in children], sizes))
        arcs += made[-1].children.size
        if arcs > cap:
            raise TooLarge(f"a diagram of more than {cap} arcs")
    return _laid_out(buckets, below, made, offsets)


def _consed(bucket: Bucket, below: Sequence[tuple[Bucket, _Nodes]], sizes: Sequence[int]) -> _Nodes:
    """The nodes of a bucket, numbered within it; situations with the same rows are one node."""
    rows = bucket.rows.rows
    order = np.lexsort(rows.T[::-1])
    rows = rows[order]
    children = (
        np.stack([_looked_up(rows, bucket, child, nodes, sizes) for child, nodes in below], axis=1)
        if below
        else np.zeros((len(rows), 0), np.int64)
    )
    said = np.concatenate([rows[:, -1:], children], axis=1)
    _, kind = np.unique(said, axis=0, return_inverse=True)
    (situation,), _ = keys([rows[:, :-1]], [sizes[v] for v in bucket.separator])
    starts = np.flatnonzero(np.r_[True, situation[1:] != situation[:-1]])
    ends = np.r_[starts[1:], len(rows)]
    content = np.ascontiguousarray(np.ravel(kind).astype(np.int64)).tobytes()
    number: dict[bytes, int] = {}
    numbers = np.empty(len(starts), np.int64)
    first: list[int] = []
    for i, (start, end) in enumerate(zip(starts.tolist(), ends.tolist(), strict=True)):
        found = number.setdefault(content[8 * start : 8 * end], len(first))
        if found == len(first):
            first.append(i)
        numbers[i] = found
    kept = np.concatenate([np.arange(starts[i], ends[i]) for i in first])
    lengths = np.array([ends[i] - starts[i] for i in first])
    height = 1 + max((nodes.height for _, nodes in below), default=0)
    return _Nodes(
        rows[starts, :-1], numbers, rows[kept, -1], children[kept], np.r_[0, np.cumsum(lengths)], height
    )


def _looked_up(rows: Ints, bucket: Bucket, child: Bucket, nodes: _Nodes, sizes: Sequence[int]) -> Ints:
    """The child's node in the situation that each row puts it in."""
    scope = (*bucket.separator, bucket.variable)
    situation = rows[:, [scope.index(v) for v in child.separator]]
    (asked, known), _ = keys([situation, nodes.separators], [sizes[v] for v in child.separator])
    order = np.argsort(known, kind="stable")
    return nodes.number[order[np.searchsorted(known[order], asked)]]


def _laid_out(
    buckets: Sequence[Bucket], below: Sequence[Sequence[int]], made: Sequence[_Nodes], offsets: Ints
) -> Diagram:
    """Number the nodes level by level, and put a root over the buckets that have no parent."""
    first_node = np.zeros(len(buckets), np.int64)
    by_height: dict[int, list[int]] = {}
    for i, nodes in enumerate(made):
        by_height.setdefault(nodes.height, []).append(i)
    count, raw = 1, []
    for height in sorted(by_height):
        start = count
        for i in by_height[height]:
            first_node[i] = count
            count += len(made[i].starts) - 1
        raw.append(
            (start, [_rows_of(i, buckets, below, made, first_node, offsets) for i in by_height[height]])
        )
    roots = [int(first_node[i]) for i, bucket in enumerate(buckets) if bucket.parent is None]
    raw.append((count, [(np.array([-1]), np.array([roots]), np.array([1]))]))
    return _with_arcs_into(raw, count + 1)


_Raw = tuple[Ints, Ints, Ints]  # each row's value; each row's children; how many rows each node has


def _rows_of(
    i: int,
    buckets: Sequence[Bucket],
    below: Sequence[Sequence[int]],
    made: Sequence[_Nodes],
    first_node: Ints,
    offsets: Ints,
) -> _Raw:
    """Values by their number among all, children by their node (node 0 where there are none)."""
    nodes = made[i]
    shift = np.array([first_node[c] for c in below[i]], np.int64)
    children = nodes.children + shift if len(shift) else np.zeros((len(nodes.values), 1), np.int64)
    return nodes.values + offsets[buckets[i].variable], children, np.diff(nodes.starts)


def _with_arcs_into(raw: Sequence[tuple[int, list[_Raw]]], nodes: int) -> Diagram:
    levels, row_base = [], 0
    drafts = []
    for first, parts in raw:
        values = np.concatenate([part[0] for part in parts])
        children = np.concatenate([part[1].ravel() for part in parts])
        lengths = np.concatenate([np.full(len(part[1]), part[1].shape[1]) for part in parts])
        counts = np.concatenate([part[2] for part in parts])
        drafts.append((first, values, children, lengths, counts))
        row_base += len(values)
    child = np.concatenate([draft[2] for draft in drafts])
    of_row = np.repeat(np.arange(row_base), np.concatenate([draft[3] for draft in drafts]))
    order = np.argsort(child, kind="stable")
    child_sorted, row_sorted = child[order], of_row[order]
    for first, values, children, lengths, counts in drafts:
        last = first + len(counts)
        low, high = np.searchsorted(child_sorted, [first, last])
        into = child_sorted[low:high]
        levels.append(
            Level(
                first, last, values, children, np.r_[0, np.cumsum(lengths)[:-1]],
                np.r_[0, np.cumsum(counts)[:-1]], np.repeat(np.arange(first, last), counts),
                row_sorted[low:high], into, np.searchsorted(into, np.arange(first, last)),
            )
        )  # fmt: skip
    all_values = np.concatenate([draft[1] for draft in drafts])
    by_value = np.argsort(all_values, kind="stable")[1:]  # without the root's row, whose value is -1
    ordered = all_values[by_value]
    seen, starts = np.unique(ordered, return_index=True)
    return Diagram(tuple(levels), nodes, row_base, len(child), by_value, starts, seen)
