"""Available to promise, against a calendar that is gone through day by day."""

from collections.abc import Callable
from copy import deepcopy
from datetime import date, datetime, timedelta
from fractions import Fraction
from itertools import accumulate
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.planning import (
    Arrival,
    Available,
    PlanningError,
    Taking,
    available,
    discrete,
    looked_back,
    many_available,
    safety_days,
)

TODAY = date(2026, 3, 9)
CALENDAR = [TODAY + timedelta(days=number) for number in range(26)]

days = st.integers(-5, 15).map(lambda number: TODAY + timedelta(days=number))
few = st.integers(0, 9)
takings = st.lists(st.builds(Taking, days, few), max_size=6)
arrivals = st.lists(st.builds(Arrival, days, few, st.integers(0, 8)), max_size=6)
stocks = st.tuples(st.integers(0, 20), takings, arrivals)
Stock = tuple[int, list[Taking], list[Arrival]]


def balances(stock: Stock) -> list[int]:
    """What is there at the end of each day of the calendar."""
    on_hand, taken, coming = stock
    found, here = [], on_hand
    for day in CALENDAR:
        for taking in taken:
            if taking.day == day or (taking.day < day == TODAY):
                here -= taking.quantity
        for arrival in coming:
            sure = arrival.due + timedelta(days=arrival.safety_days)
            if sure == day or (sure < TODAY and day == TODAY + timedelta(days=1)):
                here += arrival.quantity
        found.append(here)
    return found


def most(stock: Stock, day: date) -> int:
    """The most that can leave on `day`: one piece after the other while no later day falls below zero."""
    quantity, later = 0, balances(stock)[CALENDAR.index(day) :]
    while all(balance - quantity - 1 >= 0 for balance in later):
        quantity += 1
    return quantity


@given(stocks)
def test_what_can_be_promised_is_what_breaks_no_later_day(stock: Stock) -> None:
    steps = available(*stock, TODAY)
    assert [steps.at(day) for day in CALENDAR] == [most(stock, day) for day in CALENDAR]


@given(stocks, st.integers(0, 60))
def test_the_first_day_is_the_first_on_which_so_many_can_be_promised(stock: Stock, quantity: int) -> None:
    first = next((day for day in CALENDAR if most(stock, day) >= quantity), None)
    assert available(*stock, TODAY).first_day(quantity) == first


@given(stocks)
def test_steps_begin_today_and_only_rise(stock: Stock) -> None:
    steps = available(*stock, TODAY)
    assert steps.today == TODAY
    assert list(steps.days) == sorted(set(steps.days))
    assert list(steps.quantities) == sorted(set(steps.quantities))


@given(stocks)
def test_what_is_promised_already_and_not_covered_is_told(stock: Stock) -> None:
    steps, day_by_day = available(*stock, TODAY), balances(stock)
    below = [day for day, balance in zip(CALENDAR, day_by_day, strict=True) if balance < 0]
    assert steps.short == max(0, -min(day_by_day))
    assert steps.short_on == (below[0] if below else None)


@given(stocks, st.sampled_from(CALENDAR))
def test_a_promise_of_all_that_can_be_leaves_nothing_and_breaks_none(stock: Stock, day: date) -> None:
    on_hand, taken, coming = stock
    before = available(*stock, TODAY)
    after = available(on_hand, [*taken, Taking(day, before.at(day))], coming, TODAY)
    assert after.at(day) == 0
    assert after.short == before.short


@given(stocks, st.sampled_from(CALENDAR), st.integers(0, 5))
def test_more_stock_never_promises_less(stock: Stock, day: date, more: int) -> None:
    on_hand, taken, coming = stock
    assert available(on_hand + more, taken, coming, TODAY).at(day) >= available(*stock, TODAY).at(day)


@given(stocks)
def test_lots_that_look_back_add_up_to_the_cumulative_limit(stock: Stock) -> None:
    lots = looked_back(discrete(*stock, TODAY))
    sums = accumulate(quantity for _, quantity in lots)
    steps = available(*stock, TODAY)
    assert [steps.at(day) for day, _ in lots] == [max(0, quantity) for quantity in sums]
    assert all(quantity >= 0 for _, quantity in lots[1:])


@given(stocks)
def test_nothing_given_is_changed(stock: Stock) -> None:
    before = deepcopy(stock)
    available(*stock, TODAY)
    assert stock == before


@given(
    st.dictionaries(st.sampled_from("abcdef"), stocks),
    st.dictionaries(st.sampled_from("abcdef"), st.integers(0, 60) | st.just(10**18)),
    st.randoms(),
)
def test_many_parts_at_once_are_as_each_alone(
    parts: dict[str, Stock], wanted: dict[str, int], mixer: Random
) -> None:
    taken = [(part, *taking) for part, (_, listed, _) in parts.items() for taking in listed]
    coming = [(part, *arrival[:3]) for part, (_, _, listed) in parts.items() for arrival in listed]
    mixer.shuffle(taken)
    mixer.shuffle(coming)
    many = many_available({part: stock[0] for part, stock in parts.items()}, taken, coming, TODAY)
    alone = {part: available(*stock, TODAY) for part, stock in parts.items()}
    assert {part: many.of(part) for part in parts} == alone
    for day in CALENDAR:
        assert many.at(day) == {part: steps.at(day) for part, steps in alone.items()}
    asked = {part: quantity for part, quantity in wanted.items() if part in parts}
    firsts = {part: alone[part].first_day(quantity) for part, quantity in asked.items()}
    assert many.first_days(asked) == firsts


def test_a_hundred_thousand_parts_are_one_sweep() -> None:
    parts, day = 100_000, TODAY + timedelta(days=30)
    many = many_available(
        dict.fromkeys(range(parts), 5),
        [(part, day, part % 7) for part in range(parts)],
        [(part, day + timedelta(days=part % 5), 3, 2) for part in range(parts)],
        TODAY,
    )
    now = many.at(TODAY)
    assert [now[part] for part in (0, 3, 6, 99_999)] == [5, 2, 0, 1]
    assert many.of(6) == Available((TODAY, day + timedelta(days=3)), (0, 2), 1, day)
    assert many.first_days({6: 2, 3: 6})[3] is None


def test_a_late_delivery_is_counted_on_as_late_as_its_safety_says() -> None:
    due = Arrival(TODAY + timedelta(days=3), 4, safety_days=5, line="B00017")
    assert available(0, [], [due], TODAY).first_day(4) == TODAY + timedelta(days=8)
    overdue = Arrival(TODAY - timedelta(days=3), 4, safety_days=2)
    assert available(0, [], [overdue], TODAY).first_day(4) == TODAY + timedelta(days=1)


@given(st.lists(st.integers(-20, 40), min_size=1, max_size=12), st.fractions(0, 1, max_denominator=20))
def test_a_safety_is_the_fewest_days_that_cover_the_share(late: list[int], share: Fraction) -> None:
    in_time = [sum(one <= days for one in late) for days in range(41)]
    fewest = next(days for days, number in enumerate(in_time) if number >= share * len(late))
    assert safety_days(late, share) == fewest


def test_without_a_past_there_is_no_safety() -> None:
    assert safety_days([], Fraction(9, 10)) == 0


STEPS = available(3, [], [], TODAY)
MANY = many_available({"nut": 3}, [], [], TODAY)
LATE = datetime(2026, 3, 9, 12)  # noqa: DTZ001  # Not a day, whatever its zone.
LAST = date.max


@pytest.mark.parametrize(
    "nonsense",
    [
        lambda: available(-1, [], [], TODAY),
        lambda: available(1.0, [], [], TODAY),  # type: ignore[arg-type]  # what the test is about
        lambda: available(True, [], [], TODAY),
        lambda: available(1, [], [], LATE),
        lambda: available(1, [Taking(TODAY, -1)], [], TODAY),
        lambda: available(1, [Taking(LATE, 1)], [], TODAY),
        lambda: available(1, [], [Arrival(TODAY, -1)], TODAY),
        lambda: available(1, [], [Arrival(LATE, 1)], TODAY),
        lambda: available(1, [], [Arrival(TODAY, 1, -1)], TODAY),
        lambda: available(1, [], [Arrival(TODAY, 1, 4000)], TODAY),
        lambda: available(1, [], [Arrival(LAST, 1, 1)], TODAY),
        lambda: available(1, [], [Arrival(TODAY, 1)], LAST).at(TODAY),
        lambda: STEPS.at(TODAY - timedelta(days=1)),
        lambda: STEPS.at(LATE),
        lambda: STEPS.first_day(-1),
        lambda: discrete(-1, [], [], TODAY),
        lambda: many_available({"nut": -1}, [], [], TODAY),
        lambda: many_available({"nut": 2.0}, [], [], TODAY),  # type: ignore[dict-item]  # as above
        lambda: many_available({"nut": 1 << 62}, [], [], TODAY),
        lambda: many_available({"nut": 1 << 61, "cap": 1}, [], [], TODAY),
        lambda: many_available({"nut": 1}, [("bolt", TODAY, 1)], [], TODAY),
        lambda: many_available({"nut": 1}, [("nut", LATE, 1)], [], TODAY),
        lambda: many_available({"nut": 1}, [("nut", TODAY, -1)], [], TODAY),
        lambda: many_available({"nut": 1}, [("nut", TODAY)], [], TODAY),  # type: ignore[list-item]  # as above
        lambda: many_available({"nut": 1}, [], [("nut", TODAY, 1, 4000)], TODAY),
        lambda: many_available({"nut": 1}, [], [("nut", LAST, 1, 1)], TODAY),
        lambda: MANY.at(TODAY - timedelta(days=1)),
        lambda: MANY.of("bolt"),
        lambda: MANY.first_days({"bolt": 1}),
        lambda: MANY.first_days({"nut": -1}),
        lambda: safety_days([1], Fraction(3, 2)),
        lambda: safety_days([1], 0.9),  # type: ignore[arg-type]  # as above
        lambda: safety_days([1.5], Fraction(1, 2)),  # type: ignore[list-item]  # as above
    ],
)
def test_nonsense_is_refused(nonsense: Callable[[], object]) -> None:
    with pytest.raises(PlanningError):
        nonsense()
