"""The buckets of elimination: a tree, in which every row is part of a whole answer and none is missing."""

from collections.abc import Sequence

import pytest
from hypothesis import given, settings

from kits.solver.elimination import Bucket, eliminate, min_fill_order
from kits.solver.errors import TooLarge
from kits.solver.relations import Relation, everything

from .test_consistency import answers, many
from .test_relations import SIZES, relation, rows_of


def fill(order: Sequence[int], relations: Sequence[Relation]) -> int:
    """How many new ties an order of elimination makes, by making them."""
    ties = {frozenset((a, b)) for one in relations for a in one.scope for b in one.scope if a != b}
    made = 0
    for variable in order:
        beside = [next(iter(tie - {variable})) for tie in ties if variable in tie]
        ties = {tie for tie in ties if variable not in tie}
        new = {frozenset((a, b)) for a in beside for b in beside if a != b} - ties
        made += len(new)
        ties |= new
    return made


@settings(max_examples=100)
@given(many)
def test_every_bucket_has_exactly_the_rows_of_whole_answers(some: list[Relation]) -> None:
    order = min_fill_order(some, SIZES)
    variables = {v for one in some for v in one.scope}
    assert sorted(order) == sorted(variables)
    buckets = eliminate(some, SIZES, order, 10_000)
    assert (buckets is None) == (not answers(some))
    for place, bucket in enumerate(buckets or ()):
        scope = (*bucket.separator, bucket.variable)
        assert bucket.variable == order[place] and bucket.rows.scope == scope
        assert rows_of(bucket.rows) == {tuple(one[v] for v in scope) for one in answers(some)}
        is_part_of_a_tree(buckets or [], place)


def is_part_of_a_tree(buckets: Sequence[Bucket], place: int) -> None:
    """What a bucket depends on is decided in its parent or above it."""
    bucket = buckets[place]
    assert (bucket.parent is None) == (not bucket.separator)
    if bucket.parent is not None:
        parent = buckets[bucket.parent]
        assert bucket.parent > place
        assert {*bucket.separator} <= {*parent.separator, parent.variable}


def test_an_order_ties_no_knot_that_it_need_not() -> None:
    """A tree and a ring: eliminating leaves first makes no new tie, a ring of four needs one."""
    pairs = [(0, 1), (1, 2), (1, 3), (3, 4)]
    tree = [everything(pair, SIZES, 100) for pair in pairs]
    assert fill(min_fill_order(tree, SIZES), tree) == 0
    assert fill([1, 0, 2, 3, 4], tree) > 0
    ring = [everything(pair, SIZES, 100) for pair in [(0, 1), (1, 2), (2, 3), (3, 0)]]
    assert fill(min_fill_order(ring, SIZES), ring) == 1


def test_equal_ones_go_by_their_combinations_then_by_number() -> None:
    apart = [relation([v], {(0,)}) for v in range(5)]
    assert min_fill_order(apart, SIZES) == [2, 0, 4, 1, 3]


def test_a_bucket_beyond_the_cap_is_too_large() -> None:
    star = [everything((0, v), SIZES, 100) for v in (1, 3, 4)]
    with pytest.raises(TooLarge, match="more than the cap of 10"):
        eliminate(star, SIZES, [0, 1, 3, 4], 10)
