"""The replay of whole columns is the replay of each part by a plain loop, and no piece comes from nowhere."""

from dataclasses import fields

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.planning.backtest import Levels, Replay, Rules, replay, sales
from inventory.planning.backtest.replay import lead_times

from .plain import plain_replay

NAN = float("nan")


@st.composite
def scenes(draw: st.DrawFn) -> tuple[np.ndarray, dict[int, Levels], Rules]:
    """A table of parts that come and go, levels at each refresh, and the rules."""
    parts, periods = draw(st.integers(1, 4)), draw(st.integers(2, 14))
    table = np.full((periods, parts), NAN)
    for part in range(parts):
        first = draw(st.integers(0, periods))
        last = draw(st.integers(first, periods))
        table[first:last, part] = draw(
            st.lists(st.sampled_from([0, 0, 1, 2, 7]), min_size=last - first, max_size=last - first)
        )
    weights = draw(st.lists(st.integers(0, 3), min_size=1, max_size=4).filter(any))
    review = draw(st.integers(1, 3))
    rules = Rules(
        tuple(weight / sum(weights) for weight in weights),
        review=review,
        refresh=review * draw(st.integers(1, 2)),
        warm_up=draw(st.integers(1, periods - 1)),
        least_sales=draw(st.integers(0, 2)),
        waits=draw(st.booleans()),
        seed=draw(st.integers(0, 9)),
    )
    few = st.lists(st.integers(0, 6), min_size=parts, max_size=parts)
    levels = {}
    for now in range(rules.warm_up, periods, rules.refresh):
        reorder_at = np.array(draw(few)) - 1
        levels[now] = Levels(reorder_at, reorder_at + 1 + np.array(draw(few)))
    return table, levels, rules


def row(done: Replay, now: int, part: int) -> dict[str, int]:
    return {one.name: int(getattr(done, one.name)[now, part]) for one in fields(done)}


@given(scenes())
def test_each_part_goes_as_a_plain_loop_has_it(scene: tuple[np.ndarray, dict[int, Levels], Rules]) -> None:
    table, levels, rules = scene
    done = replay(sales(table), levels, rules)
    takes = lead_times(rules, table.shape)
    for part in range(table.shape[1]):
        expected = plain_replay(
            table[:, part].tolist(),
            levels={now: (int(at.reorder_at[part]), int(at.up_to[part])) for now, at in levels.items()},
            lead=takes[:, part].tolist(),
            review=rules.review,
            warm_up=rules.warm_up,
            refresh=rules.refresh,
            least_sales=rules.least_sales,
            waits=rules.waits,
        )
        assert [row(done, now, part) for now in range(len(table))] == expected


@given(scenes())
def test_no_piece_is_lost_or_made_in_any_period(scene: tuple[np.ndarray, dict[int, Levels], Rules]) -> None:
    table, levels, rules = scene
    done = replay(sales(table), levels, rules)
    before = np.vstack([np.zeros_like(done.on_hand[:1]), done.on_hand[:-1]])
    waited = np.vstack([np.zeros_like(done.waiting[:1]), done.waiting[:-1]])
    assert (done.on_hand == before + done.opened + done.arrived - done.late - done.served).all()
    short = done.asked - done.served
    assert (done.waiting == (waited - done.late + short if rules.waits else 0)).all()
    assert min(getattr(done, one.name).min() for one in fields(done)) >= 0
    assert (done.arrived.cumsum(axis=0) <= done.ordered.cumsum(axis=0)).all()
    assert not (done.on_hand * done.waiting).any()


def test_an_order_comes_after_its_lead_time_and_before_the_customers() -> None:
    table = sales([[0], [3], [0], [0], [5]])
    levels = dict.fromkeys(range(1, 5), Levels(np.array([3]), np.array([4])))
    done = replay(table, levels, Rules((0, 0, 1.0), warm_up=1, least_sales=0))
    assert done.opened[:, 0].tolist() == [0, 4, 0, 0, 0]
    assert done.ordered[:, 0].tolist() == [0, 0, 3, 0, 0]
    assert done.arrived[:, 0].tolist() == [0, 0, 0, 0, 3]
    assert done.served[:, 0].tolist() == [0, 3, 0, 0, 4]
    assert done.waiting[:, 0].tolist() == [0, 0, 0, 0, 1]


def test_lead_times_are_drawn_with_their_chances_and_the_same_again() -> None:
    rules = Rules((0, 0.25, 0.75), seed=3)
    drawn = lead_times(rules, (200, 200))
    assert (drawn == lead_times(rules, (200, 200))).all()
    assert np.bincount(drawn.ravel()) / drawn.size == pytest.approx([0, 0.25, 0.75], abs=0.01)
