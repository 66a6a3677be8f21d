"""Charts: scales that rise, round figures on the axes, and nothing drawn outside of the frame."""

from __future__ import annotations

from datetime import date, timedelta
from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.planning.demand import Calendar
from shop.desks.charts import SLIM, WIDE, Days, Frame, Mark, Scale, day_ticks, marks, round_step, ticks
from shop.desks.planning.frontier_chart import Point, Standing, draw_frontier
from shop.desks.planning.history_chart import Expected, draw_history
from shop.desks.planning.projecting import Asked, Change, project
from shop.desks.planning.projection_chart import Inbound, draw_projection
from shop.desks.planning.sorts import Column, Every, Sort
from tests.shop.desks.tracing import corners, sticks_out, titled

DAY = date(2026, 3, 17)
days = st.dates(date(1990, 1, 1), date(2080, 1, 1))
widths = st.sampled_from([SLIM, WIDE])
figures = st.floats(0, 1e6)


@given(st.lists(st.floats(-1e9, 1e9), min_size=2), st.floats(-1e9, 1e9), st.floats(1e-3, 1e9))
def test_a_scale_rises_and_stays_between_its_ends(values: list[float], low: float, span: float) -> None:
    scale = Scale(low, low + span, 100, 10)
    placed = [scale.at(value) for value in sorted(values)]
    assert placed == sorted(placed, reverse=True)
    assert all(10 <= at <= 100 for at in placed)
    assert scale.at(low) == 100 and scale.at(low + span) == pytest.approx(10)


@given(days, st.integers(0, 4000), st.lists(st.integers(-10, 5000), min_size=2))
def test_days_rise_too(first: date, span: int, ahead: list[int]) -> None:
    scale = Days(first, first + timedelta(span), 40, 300)
    placed = [scale.at(first + timedelta(day)) for day in sorted(ahead)]
    assert placed == sorted(placed) and all(40 <= at <= 300 for at in placed)


@given(st.floats(1e-6, 1e12), st.integers(1, 12))
def test_a_round_step_is_the_least_that_needs_no_more_ticks(span: float, about: int) -> None:
    step = round_step(span, about)
    assert step * about >= span * (1 - 1e-9)
    digits = f"{step:.9e}".split("e")[0].rstrip("0").rstrip(".")
    assert digits in ("1", "2", "5")
    finer = {"1": step / 2, "2": step / 2, "5": step / 2.5}[digits]
    assert finer * about < span * (1 + 1e-9)


@given(st.integers(-1000, 1000), st.integers(1, 100_000), st.integers(1, 9))
def test_ticks_are_even_and_within(low: int, span: int, about: int) -> None:
    marked = ticks(low, low + span, about, least=1)
    assert all(low <= one <= low + span and Fraction(one).denominator == 1 for one in marked)
    assert len(marked) <= about + 1
    assert len({round(later - one, 6) for one, later in pairwise(marked)}) <= 1


@given(days, st.integers(0, 20_000), st.integers(2, 12))
def test_labelled_days_are_few_rising_and_within(first: date, span: int, most: int) -> None:
    last = first + timedelta(span)
    labelled = day_ticks(first, last, most)
    found = [day for day, _ in labelled]
    assert len(found) <= most + 1 and found == sorted(set(found))
    assert all(first <= day <= last for day in found)
    seen: int | None = None
    for day, words in labelled:
        if day.day == 1 and not words[0].isdigit():
            assert (str(day.year) in words) is (day.year != seen)
            seen = day.year


@given(st.floats(-1e5, 0), st.floats(0, 1e5))
def test_an_axis_holds_all_between_round_figures(low: float, high: float) -> None:
    scale, labels = Frame(SLIM).up(low, high, least=1)
    hair = 1e-8 * (1 + high - low)
    assert scale.low <= low + hair and scale.high >= high - hair and scale.high > scale.low
    assert labels[0] == scale.low and labels[-1] == scale.high and len(labels) <= 8
    assert 0 in labels


@given(st.lists(st.tuples(st.floats(10, 310), st.text("B0123+", min_size=1, max_size=60)), max_size=12))
def test_marks_find_rows_without_meeting(wanted: list[tuple[float, str]]) -> None:
    drawn, end = marks([Mark(x, words) for x, words in sorted(wanted)], 10, SLIM)
    written = [one for one in drawn if one.startswith("<text")]
    left_out = [one for one in written if "more in the table" in one]
    told = len(written) - len(left_out)
    assert told + (int(left_out[0].split("and ")[1].split()[0]) if left_out else 0) == len(wanted)
    assert end >= 10
    assert sticks_out(_sheet(SLIM, end + 5, drawn)) == []


def _sheet(width: float, height: float, drawn: list[str]) -> str:
    inside = "".join(drawn)
    return f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}">{inside}</svg>'


columns = st.dictionaries(st.sampled_from(list(Sort)), st.integers(0, 5000), max_size=8)
quantiles = st.lists(st.floats(0, 9999), min_size=5, max_size=5).map(sorted)


@given(
    st.lists(columns, max_size=30),
    st.lists(st.tuples(quantiles, figures), max_size=12),
    st.sampled_from(["month", "week"]),
    widths,
)
def test_history_and_forecast_stay_in_their_frame(
    past: list[dict[Sort, int]], fan: list[tuple[list[float], float]], every: Every, width: int
) -> None:
    calendar = Calendar(every)
    number = calendar.number(DAY)
    drawn_columns = [
        Column(calendar.first_day(number - ahead), pieces, sum(pieces.values()) // 2)
        for ahead, pieces in enumerate(past)
    ][::-1]
    drawn_fan = [
        Expected(calendar.first_day(number + ahead), mean, *levels)
        for ahead, (levels, mean) in enumerate(fan)
    ]
    if not drawn_columns and not drawn_fan:
        return
    svg = draw_history(drawn_columns, drawn_fan, every, tag="h", width=width)
    assert sticks_out(svg) == []
    title, description = titled(svg)
    assert every in title and description


def test_columns_are_as_high_as_their_pieces() -> None:
    low, high = (
        Column(date(2026, 1, 1), {Sort.KIT: 4, Sort.RETURN: 1}, 3),
        Column(date(2026, 2, 1), {Sort.KIT: 8}, 8),
    )
    svg = draw_history([low, high], [], "month", tag="h")
    boxes = [part.split('"') for part in svg.split("<rect ")[1:] if "-h)" in part]
    kits = [float(one[7]) for one in boxes if "rise-h" in one[11] and float(one[5]) > 20]
    back = [float(one[7]) for one in boxes if "level-h" in one[11] and float(one[5]) > 20]
    assert kits[1] == pytest.approx(2 * kits[0], abs=0.02)
    assert back[0] == pytest.approx(kits[0] / 4, abs=0.02)


@given(
    st.integers(0, 3000),
    st.lists(st.tuples(st.integers(-5, 250), st.integers(-300, 900)), max_size=9),
    st.lists(st.tuples(st.floats(0, 500), st.floats(0, 900)), max_size=4),
    st.one_of(st.none(), st.tuples(st.integers(0, 50), st.integers(51, 3000))),
    widths,
)
@settings(max_examples=40)
def test_stock_to_come_stays_in_its_frame(
    here: int,
    changes: list[tuple[int, int]],
    asked: list[tuple[float, float]],
    target: tuple[int, int] | None,
    width: int,
) -> None:
    calendar = Calendar("month")
    months = [
        Asked(calendar.first_day(calendar.number(DAY) + ahead), mean, variance if mean else 0)
        for ahead, (mean, variance) in enumerate(asked)
    ]
    moved = [Change(DAY + timedelta(ahead), quantity) for ahead, quantity in changes]
    inbound = [Inbound(one.day, one.quantity, "B00012") for one in moved if one.quantity > 0]
    found = project(here, moved, months, DAY)
    svg = draw_projection(found, sorted(inbound, key=lambda one: one.day), target, tag="p", width=width)
    assert sticks_out(svg) == [] and titled(svg)[0] == "Stock to come"


points = st.tuples(figures, st.floats(0, 1)).map(lambda one: Point(*one))


@given(st.lists(points, min_size=1, max_size=30), st.lists(points, max_size=4), widths)
def test_the_frontier_stays_in_its_frame(curve: list[Point], named: list[Point], width: int) -> None:
    standings = [
        Standing(shape, words, point)
        for (shape, words), point in zip(
            [
                ("diamond", "wanted"),
                ("square", "now"),
                ("triangle", "each part by itself"),
                ("cross", "none"),
            ],
            named,
            strict=False,
        )
    ]
    svg = draw_frontier(sorted(curve), standings, "EUR", tag="f", width=width)
    assert sticks_out(svg) == []
    assert all(one.words in titled(svg)[1] for one in standings)


def test_the_tracer_follows_every_step() -> None:
    assert list(corners("M1 2L3 4h2v-1H0V9l1 1Z")) == [
        (1, 2),
        (3, 4),
        (5, 4),
        (5, 3),
        (0, 3),
        (0, 9),
        (1, 10),
    ]
    assert sticks_out(_sheet(10, 10, ['<rect x="5" y="5" width="6" height="1"/>'])) == [(11.0, 6.0)]
