"""The S-shaped walk visits everything once and never turns round in an aisle."""

from itertools import groupby, pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.routing import RoutingError, Spot, walk_length, walk_order

spots = st.builds(
    Spot,
    st.sampled_from(["A", "B"]),
    st.integers(0, 6),
    st.integers(0, 20),
    st.integers(0, 4),
    st.integers(0, 99),
)
picks = st.lists(st.tuples(st.integers(0, 8), st.integers(0, 20)), max_size=12)


@given(st.lists(spots, max_size=30))
def test_every_stop_is_walked_once_whatever_the_order_they_come_in(stops: list[Spot]) -> None:
    walked = walk_order(stops)
    assert sorted(walked, key=repr) == sorted(stops, key=repr)
    assert walk_order(reversed(stops)) == walked
    assert walk_order(walked) == walked


@given(st.lists(spots, max_size=30))
def test_aisles_are_walked_up_and_down_by_turns(stops: list[Spot]) -> None:
    walked = walk_order(stops)
    for _, in_hall in groupby(walked, key=lambda stop: stop.hall):
        aisles = [(aisle, list(there)) for aisle, there in groupby(in_hall, key=lambda stop: stop.aisle)]
        numbers = [aisle for aisle, _ in aisles]
        assert numbers == sorted(set(numbers))
        for nth, (_, there) in enumerate(aisles):
            bays = [stop.bay for stop in there]
            assert bays == sorted(bays, reverse=bool(nth % 2))
            for _, at_bay in groupby(there, key=lambda stop: stop.bay):
                levels = [stop.level for stop in at_bay]
                assert levels == sorted(levels)


def shortest(one: tuple[int, int], other: tuple[int, int], step: int, length: int) -> int:
    """The way from one spot of a block to another: along the aisle, or round by the front or the back."""
    if one[0] == other[0]:
        return abs(one[1] - other[1])
    by_the_front, by_the_back = one[1] + other[1], 2 * length - one[1] - other[1]
    return abs(one[0] - other[0]) * step + min(by_the_front, by_the_back)


@given(picks, st.integers(1, 9), st.integers(0, 8))
def test_following_the_order_is_never_longer_than_the_length_of_the_walk(
    chosen: list[tuple[int, int]], step: int, depot: int
) -> None:
    walked = walk_order([Spot("A", aisle, distance, 0) for aisle, distance in chosen])
    way = [(depot, 0), *((stop.aisle, stop.bay) for stop in walked), (depot, 0)]
    along = sum(shortest(one, other, step, 20) for one, other in pairwise(way))
    assert along <= walk_length(chosen, step=step, length=20, depot=depot)


@given(picks, st.tuples(st.integers(0, 8), st.integers(0, 20)))
def test_length_scales_and_a_repeated_pick_costs_nothing(
    chosen: list[tuple[int, int]], pick: tuple[int, int]
) -> None:
    once = walk_length([*chosen, pick], step=3, length=20)
    assert walk_length([*chosen, pick, pick], step=3, length=20) == once
    tenfold = [(aisle, 10 * distance) for aisle, distance in [*chosen, pick]]
    assert walk_length(tenfold, step=30, length=200) == 10 * once


def test_nothing_to_pick_is_no_walk() -> None:
    assert walk_order([]) == []
    assert walk_length([], step=3, length=20) == 0


@pytest.mark.parametrize(
    ("pick", "step", "length"), [((0, 21), 3, 20), ((0, -1), 3, 20), ((0, 1), -3, 20), ((0, 0), 3, -1)]
)
def test_a_pick_outside_its_aisle_is_refused(pick: tuple[int, int], step: int, length: int) -> None:
    with pytest.raises(RoutingError):
        walk_length([pick], step=step, length=length)
