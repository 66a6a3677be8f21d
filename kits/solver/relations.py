"""Relations as arrays of small integers: semi-joins, joins, projections."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import prod
from typing import Final

import numpy as np
from numpy.typing import NDArray

from kits.solver.errors import TooLarge

Ints = NDArray[np.int64]
Mask = NDArray[np.bool_]
_LARGEST_KEY: Final = 2**62
_LARGEST_LOOKUP: Final = 2**22  # Up to here a table of truths is quicker than sorting.


@dataclass(frozen=True, eq=False)
class Relation:
    """Rows of value numbers, a column for each variable (by number) of the scope; no row twice."""

    scope: tuple[int, ...]
    rows: Ints

    def __len__(self) -> int:
        return len(self.rows)

    def columns(self, scope: Sequence[int]) -> Ints:
        """The rows with just these columns, in this order."""
        return self.rows[:, [self.scope.index(v) for v in scope]]


def keys(arrays: Sequence[Ints], sizes: Sequence[int]) -> tuple[list[Ints], int]:
    """One number for each row of arrays that have the same columns: equal rows, equal numbers.

    `sizes` are how many values each column may have. Also gives a bound above every number.
    """
    bound = prod(sizes)
    if bound <= _LARGEST_KEY:
        strides = np.array([prod(sizes[column + 1 :]) for column in range(len(sizes))], np.int64)
        return [array @ strides for array in arrays], bound
    together = np.concatenate(arrays)
    _, numbers = np.unique(together, axis=0, return_inverse=True)
    ends = np.cumsum([len(array) for array in arrays])
    return np.split(np.ravel(numbers), ends[:-1]), len(together)


def shared(one: Relation, other: Relation) -> list[int]:
    """The variables that both have, in the order of the first."""
    return [v for v in one.scope if v in other.scope]


def semijoin(one: Relation, other: Relation, sizes: Sequence[int]) -> Relation:
    """The rows of one that some row of the other agrees with."""
    common = shared(one, other)
    if not common:
        return one if len(other) else Relation(one.scope, one.rows[:0])
    mask = _is_among(*_common_keys(one, other, common, sizes))
    return one if mask.all() else Relation(one.scope, one.rows[mask])


def antijoin(one: Relation, other: Relation, sizes: Sequence[int]) -> Relation:
    """The rows of one that no row of the other agrees with; the other's scope lies in the one's."""
    mask = _is_among(*_common_keys(one, other, list(other.scope), sizes))
    return Relation(one.scope, one.rows[~mask])


def join(one: Relation, other: Relation, sizes: Sequence[int], cap: int) -> Relation:
    """Every pair of agreeing rows as one row; TooLarge beyond `cap` rows."""
    common = shared(one, other)
    (left, right), _ = _common_keys(one, other, common, sizes)
    order = np.argsort(right, kind="stable")
    ordered = right[order]
    first = np.searchsorted(ordered, left, "left")
    counts = np.searchsorted(ordered, left, "right") - first
    total = int(counts.sum())
    if total > cap:
        raise TooLarge(f"a join of {total} rows, more than the cap of {cap}")
    of_one = np.repeat(np.arange(len(left)), counts)
    within = np.arange(total) - np.repeat(np.cumsum(counts) - counts, counts)
    of_other = order[np.repeat(first, counts) + within]
    new = [v for v in other.scope if v not in one.scope]
    rows = np.concatenate([one.rows[of_one], other.columns(new)[of_other]], axis=1)
    return Relation((*one.scope, *new), rows)


def project(one: Relation, scope: Sequence[int], sizes: Sequence[int]) -> Relation:
    """The different rows of these columns, in the order of their values."""
    columns = one.columns(scope)
    (numbers,), _ = keys([columns], [sizes[v] for v in scope])
    _, first = np.unique(numbers, return_index=True)
    return Relation(tuple(scope), columns[first])


def everything(scope: Sequence[int], sizes: Sequence[int], cap: int) -> Relation:
    """Every combination of values; TooLarge beyond `cap` rows."""
    count = prod(sizes[v] for v in scope)
    if count > cap:
        raise TooLarge(f"a product of {count} rows, more than the cap of {cap}")
    grid = np.indices([sizes[v] for v in scope]).reshape(len(scope), -1).T
    return Relation(tuple(scope), np.ascontiguousarray(grid, np.int64))


def _common_keys(
    one: Relation, other: Relation, common: Sequence[int], sizes: Sequence[int]
) -> tuple[list[Ints], int]:
    return keys([one.columns(common), other.columns(common)], [sizes[v] for v in common])


def _is_among(numbers: list[Ints], bound: int) -> Mask:
    left, right = numbers
    if bound <= _LARGEST_LOOKUP:
        there = np.zeros(bound, np.bool_)
        there[right] = True
        return there[left]
    ordered = np.sort(right)
    return np.searchsorted(ordered, left, "left") < np.searchsorted(ordered, left, "right")


def distinct(numbers: Ints) -> Ints:
    """The different numbers in order; much quicker than np.unique, which hashes them first."""
    ordered = np.sort(numbers, axis=None)
    return ordered[np.r_[True, ordered[1:] != ordered[:-1]]] if len(ordered) else ordered
