"""Large orders are pointed out."""

from datetime import date
from statistics import median

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.planning import PlanningError
from inventory.planning.demand import Event, look_one_off

DAY = date(2030, 5, 2)
quantities = st.lists(st.integers(1, 4) | st.integers(1, 60), max_size=16)


def sold(part: str, each: list[int]) -> list[Event[str]]:
    return [Event(part, DAY, quantity, "loose") for quantity in each]


@given(hubs=quantities, nuts=quantities)
def test_it_is_large_that_exceeds_five_times_the_median_of_the_others(
    hubs: list[int], nuts: list[int]
) -> None:
    expected = [
        start + place
        for start, line in ((0, hubs), (len(hubs), nuts))
        for place, quantity in enumerate(line)
        if len(line) > 6 and quantity > 5 * median(line[:place] + line[place + 1 :])
    ]
    assert look_one_off(sold("hub", hubs) + sold("nut", nuts)) == expected


def test_returns_and_what_is_marked_already_are_passed_over() -> None:
    usual = sold("hub", [1, 2, 1, 2, 1, 2])
    others = [Event("hub", DAY, 90, "return"), Event("hub", DAY, 90, "kit", one_off=True)]
    assert look_one_off([*others, *usual]) == []
    assert look_one_off([*others, *usual, Event("hub", DAY, 90, "lost")]) == [8]


def test_without_custom_nothing_is_out_of_it() -> None:
    assert look_one_off(sold("hub", [1, 1, 90])) == []
    assert look_one_off(sold("hub", [1, 1, 90]), fewest=2) == [2]
    with pytest.raises(PlanningError, match="One-offs: at least 1 time"):
        look_one_off([], times=0)
