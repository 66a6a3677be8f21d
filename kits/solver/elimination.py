"""Bucket elimination: a tree of tables in which every row is part of a whole answer."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import log

from kits.solver.relations import Relation, join, project, semijoin


@dataclass(frozen=True, eq=False)
class Bucket:
    """A variable's table over the variables that it depends on (`separator`) and itself, in this order.

    `parent` is the bucket, by place, in which its separator is decided; None at a root.
    """

    variable: int
    separator: tuple[int, ...]
    rows: Relation
    parent: int | None


def min_fill_order(relations: Sequence[Relation], sizes: Sequence[int]) -> list[int]:
    """The relations' variables in the order of their elimination: each time the one that ties fewest knots.

    Of equals the one with the fewest combinations beside it, then the first: nothing is left to chance.
    """
    beside: dict[int, int] = {}
    for relation in relations:
        tied = sum(1 << variable for variable in relation.scope)
        for variable in relation.scope:
            beside[variable] = (beside.get(variable, 0) | tied) & ~(1 << variable)
    weights = [log(size) for size in sizes]
    rank = {v: _rank(v, beside, weights) for v in beside}
    order = []
    while rank:
        variable = min(rank, key=rank.__getitem__)
        order.append(variable)
        del rank[variable]
        others = beside.pop(variable)
        near = others
        for one in _members(others):
            beside[one] = (beside[one] | others) & ~(1 << one | 1 << variable)
            near |= beside[one]
        # Only neighbours, and neighbours of those, can tie other knots than before.
        for one in _members(near):
            rank[one] = _rank(one, beside, weights)
    return order


def _rank(variable: int, beside: dict[int, int], weights: Sequence[float]) -> tuple[int, float, int]:
    """How many knots its elimination ties, and how many combinations of values (as a logarithm)."""
    others = beside[variable]
    near = _members(others)
    missing = sum((others & ~beside[one]).bit_count() - 1 for one in near) // 2
    return missing, weights[variable] + sum(weights[v] for v in near), variable


def _members(mask: int) -> list[int]:
    """The variables in a set that is kept as the bits of a number."""
    found = []
    while mask:
        lowest = mask & -mask
        found.append(lowest.bit_length() - 1)
        mask ^= lowest
    return found


def eliminate(
    relations: Sequence[Relation], sizes: Sequence[int], order: Sequence[int], cap: int
) -> list[Bucket] | None:
    """The buckets in the order of elimination, children before parents; None where there is no answer."""
    place = {variable: i for i, variable in enumerate(order)}
    waiting: list[list[Relation]] = [[] for _ in order]
    for relation in relations:
        waiting[min(place[v] for v in relation.scope)].append(relation)
    found: list[Bucket] = []
    for i, variable in enumerate(order):
        joined = _joined(waiting[i], sizes, cap)
        if not len(joined):
            return None
        separator = tuple(sorted((v for v in joined.scope if v != variable), key=lambda v: place[v]))
        scope = (*separator, variable)
        parent = min((place[v] for v in separator), default=None)
        found.append(Bucket(variable, separator, Relation(scope, joined.columns(scope)), parent))
        if parent is not None:
            waiting[parent].append(project(joined, separator, sizes))
    return _whole(found, sizes)


def _whole(buckets: list[Bucket], sizes: Sequence[int]) -> list[Bucket]:
    """Downwards: rows whose separator no row of the parent has are part of nothing whole."""
    found = list(buckets)
    for i in reversed(range(len(found))):
        bucket = found[i]
        if bucket.parent is not None:
            rows = semijoin(bucket.rows, found[bucket.parent].rows, sizes)
            found[i] = Bucket(bucket.variable, bucket.separator, rows, bucket.parent)
    return found


def _joined(relations: Sequence[Relation], sizes: Sequence[int], cap: int) -> Relation:
    """All of them as one: small ones first, each result thinned out by those still to come."""
    left = sorted(relations, key=len)
    result = left.pop(0)
    while left:
        left.sort(key=lambda r: (len(set(r.scope) - set(result.scope)), len(r)))
        result = join(result, left.pop(0), sizes, cap)
        for other in left:
            result = semijoin(result, other, sizes)
    return result
