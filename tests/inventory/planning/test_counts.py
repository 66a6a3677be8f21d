"""What is due for a count, against plain loops that add up."""

from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.planning import Countable, Doubt, DueCount, PlanningError, classes_by_value, due_for_count

TODAY = date(2026, 3, 9)
DAYS = {"A": 30, "B": 90, "C": 365}

money = st.integers(0, 500_000).map(lambda cents: Decimal(cents) / 100)
values = st.dictionaries(st.integers(1, 40), money, max_size=12)


@st.composite
def shelves(draw: st.DrawFn) -> list[Countable]:
    """Some parts, each in one or more places."""
    of_parts = draw(values.filter(bool))
    places = draw(st.lists(st.sampled_from(sorted(of_parts)), min_size=1, max_size=12))
    ages = st.none() | st.integers(0, 800).map(lambda days: TODAY - timedelta(days=days))
    return [
        Countable(
            key=key,
            part=part,
            yearly_value=of_parts[part],
            pieces=draw(st.integers(0, 9)),
            counted_on=draw(ages),
            last_difference=draw(st.integers(-2, 2)),
            moved=draw(st.integers(0, 120)),
            reported=draw(st.integers(0, 2)),
        )
        for key, part in enumerate(places)
    ]


def counted_up(of_parts: dict[int, Decimal], a: int, b: int) -> dict[int, str]:
    """Each part by looking at all that stand before it."""
    total = sum(of_parts.values())
    found = {}
    for part, value in of_parts.items():
        before = sum(
            other for name, other in of_parts.items() if other > value or (other == value and name < part)
        )
        share = Fraction(before) / Fraction(total) if total else Fraction(1)
        found[part] = "C" if not value or share >= Fraction(b, 100) else "B"
        if value and share < Fraction(a, 100):
            found[part] = "A"
    return found


@given(values, st.integers(1, 100), st.integers(1, 100))
def test_the_class_of_a_part_is_what_all_before_it_add_up_to(
    of_parts: dict[int, Decimal], one: int, other: int
) -> None:
    a, b = sorted((one, other))
    assert classes_by_value(of_parts, a_percent=a, b_percent=b) == counted_up(of_parts, a, b)


def test_the_part_that_crosses_the_line_still_belongs_to_a() -> None:
    worth = {1: "700", 2: "150", 3: "80", 4: "40", 5: "30", 6: "0"}
    found = classes_by_value({part: Decimal(value) for part, value in worth.items()})
    assert found == {1: "A", 2: "A", 3: "B", 4: "B", 5: "C", 6: "C"}
    assert classes_by_value({7: Decimal(5)}) == {7: "A"}


def scored(one: Countable, value_class: str) -> Fraction:
    """The score as the docstring says it, in hundredths of an interval."""
    interval = DAYS[value_class]
    hundredths = Fraction(100)
    if one.counted_on is not None:
        hundredths = Fraction(100 * (TODAY - one.counted_on).days, interval)
    return (hundredths + 100 * one.reported + 50 * bool(one.last_difference) + one.moved) / 100


@given(shelves())
def test_what_is_due_reaches_one_interval_and_the_most_urgent_comes_first(shelf: list[Countable]) -> None:
    of_class = counted_up({one.part: one.yearly_value for one in shelf}, 80, 95)
    scores = {one.key: scored(one, of_class[one.part]) for one in shelf}
    due = due_for_count(shelf, TODAY)
    assert {found.key for found in due} == {key for key, score in scores.items() if score >= 1}
    assert all(found.urgency == scores[found.key] for found in due)
    by_key = {one.key: one for one in shelf}
    for first, second in pairwise(due):
        assert rank(first, by_key) < rank(second, by_key)


def rank(found: DueCount, by_key: dict[int, Countable]) -> tuple[Any, ...]:
    one = by_key[found.key]
    return -found.urgency, "ABC".index(found.value_class), -one.yearly_value, one.pieces, one.key


@given(shelves(), st.randoms(use_true_random=False))
def test_the_order_in_which_bins_are_named_changes_nothing(shelf: list[Countable], chance: Any) -> None:
    other = list(shelf)
    chance.shuffle(other)
    assert due_for_count(other, TODAY) == due_for_count(shelf, TODAY)


@given(shelves(), st.integers(0, 11))
def test_more_doubt_is_never_less_urgent(shelf: list[Countable], nth: int) -> None:
    doubted = shelf[nth % len(shelf)]
    others = [one for one in shelf if one != doubted]
    before = {found.key: found.urgency for found in due_for_count(shelf, TODAY)}
    worse = replace(doubted, reported=doubted.reported + 1)
    after = {found.key: found.urgency for found in due_for_count([*others, worse], TODAY)}
    assert after[doubted.key] >= before.get(doubted.key, Fraction(0)) + (1 if doubted.key in before else 0)


def test_a_report_of_too_few_makes_a_bin_due_at_once_and_says_so() -> None:
    fresh = Countable(1, 1, Decimal(10), 4, TODAY - timedelta(days=1), last_difference=-2, moved=3)
    assert due_for_count([fresh], TODAY) == []
    [found] = due_for_count([replace(fresh, reported=1)], TODAY)
    assert found.why == (
        "Class A, every 30 days: last counted 1 day ago; 1 report of too few; off by -2 last time; "
        "3 movements since."
    )


def test_cut_offs_intervals_and_weights_are_the_callers() -> None:
    old = Countable(1, 1, Decimal(10), 4, TODAY - timedelta(days=6), last_difference=1)
    [found] = due_for_count([old], TODAY, days=(6, 7, 8), doubt=Doubt(differed=Fraction(2)))
    assert found.urgency == 3
    assert due_for_count([old], TODAY, days=(7, 7, 7), doubt=Doubt(differed=Fraction(0))) == []


GOOD = Countable(1, 1, Decimal(10), 4)


@pytest.mark.parametrize(
    "ask",
    [
        lambda: due_for_count([replace(GOOD, pieces=-1)], TODAY),
        lambda: due_for_count([replace(GOOD, moved=True)], TODAY),
        lambda: due_for_count([replace(GOOD, reported=-1)], TODAY),
        lambda: due_for_count([replace(GOOD, last_difference=True)], TODAY),
        lambda: due_for_count([replace(GOOD, counted_on=TODAY + timedelta(days=1))], TODAY),
        lambda: due_for_count([replace(GOOD, yearly_value=Decimal("NaN"))], TODAY),
        lambda: due_for_count([GOOD, GOOD], TODAY),
        lambda: due_for_count([GOOD, replace(GOOD, key=2, yearly_value=Decimal(11))], TODAY),
        lambda: due_for_count([GOOD], TODAY, days=(0, 1, 1)),
        lambda: classes_by_value({1: Decimal(-1)}),
        lambda: classes_by_value({1: Decimal(1)}, a_percent=95, b_percent=80),
        lambda: classes_by_value({1: Decimal(1)}, b_percent=101),
    ],
)
def test_figures_that_cannot_be_are_refused(ask: Callable[[], Any]) -> None:
    with pytest.raises(PlanningError):
        ask()
