"""Joins and their like against sets of rows."""

from collections.abc import Sequence

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kits.solver.errors import TooLarge
from kits.solver.relations import Relation, antijoin, everything, join, keys, project, semijoin

SIZES = (2, 3, 1, 4, 2)
Rows = set[tuple[int, ...]]

scopes = st.lists(st.integers(0, 4), unique=True, min_size=1, max_size=4)


def relation(scope: Sequence[int], rows: Rows) -> Relation:
    return Relation(tuple(scope), np.array(sorted(rows), np.int64).reshape(len(rows), len(scope)))


@st.composite
def relations(draw: st.DrawFn, of: st.SearchStrategy[list[int]] = scopes) -> Relation:
    scope = draw(of)
    row = st.tuples(*(st.integers(0, SIZES[v] - 1) for v in scope))
    return relation(scope, draw(st.sets(row, max_size=20)))


def rows_of(one: Relation) -> Rows:
    rows = [tuple(row) for row in one.rows.tolist()]
    assert len(set(rows)) == len(rows), "a row stands twice"
    return set(rows)


def as_facts(one: Relation) -> list[dict[int, int]]:
    return [dict(zip(one.scope, row, strict=True)) for row in rows_of(one)]


def agree(one: dict[int, int], other: dict[int, int]) -> bool:
    return all(other.get(v, value) == value for v, value in one.items())


@given(relations(), relations())
def test_a_join_is_every_agreeing_pair(one: Relation, other: Relation) -> None:
    joined = join(one, other, SIZES, 1000)
    assert set(joined.scope) == {*one.scope, *other.scope}
    wanted = [a | b for a in as_facts(one) for b in as_facts(other) if agree(a, b)]
    assert rows_of(joined) == {tuple(row[v] for v in joined.scope) for row in wanted}


@given(relations(), relations())
def test_a_semijoin_keeps_what_some_row_agrees_with(one: Relation, other: Relation) -> None:
    kept = semijoin(one, other, SIZES)
    wanted = [a for a in as_facts(one) if any(agree(a, b) for b in as_facts(other))]
    assert kept.scope == one.scope and rows_of(kept) == {tuple(row.values()) for row in wanted}


@given(st.data(), relations())
def test_an_antijoin_keeps_the_rest(data: st.DataObject, one: Relation) -> None:
    inside = st.lists(st.sampled_from(one.scope), unique=True, min_size=1)
    other = data.draw(relations(inside))
    kept = rows_of(antijoin(one, other, SIZES))
    assert kept == rows_of(one) - rows_of(semijoin(one, other, SIZES))


@given(st.data(), relations())
def test_a_projection_has_each_beginning_once(data: st.DataObject, one: Relation) -> None:
    scope = data.draw(st.lists(st.sampled_from(one.scope), unique=True))
    projected = project(one, scope, SIZES)
    assert projected.scope == tuple(scope)
    assert rows_of(projected) == {tuple(row[v] for v in scope) for row in as_facts(one)}


def test_everything_is_every_combination() -> None:
    whole = everything((1, 3), SIZES, 12)
    assert rows_of(whole) == {(a, b) for a in range(3) for b in range(4)}


def test_what_passes_the_cap_is_too_large() -> None:
    whole = everything((1, 3), SIZES, 12)
    with pytest.raises(TooLarge, match="12 rows, more than the cap of 11"):
        everything((1, 3), SIZES, 11)
    with pytest.raises(TooLarge, match="24 rows, more than the cap of 23"):
        join(whole, everything((0,), SIZES, 2), SIZES, 23)


@pytest.mark.parametrize("size", [4, 2**40])
def test_equal_rows_and_only_they_have_equal_keys(size: int) -> None:
    """Also where the product of the sizes would pass 64 bits."""
    rows = np.array([[0, 1, 2], [3, 3, 3], [0, 1, 2], [0, 2, 1]], np.int64)
    (one, other), bound = keys([rows, rows[1:3]], [size] * 3)
    assert one[0] == one[2] == other[1] and one[1] == other[0]
    assert len({*one.tolist()}) == 3 and max(one) < bound
