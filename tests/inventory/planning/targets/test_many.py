"""Very many parts at once, against each alone."""

from decimal import Decimal
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.planning import PlanningError
from inventory.planning.lead_times import LeadColumns, LeadTime, lead_time
from inventory.planning.targets import (
    Demand,
    LastBuy,
    ManyTargets,
    Terms,
    many_targets,
    part_columns,
    standings,
    target,
)

leads = st.lists(st.integers(0, 60), max_size=6).map(lambda days: lead_time(days, [0] * len(days), 14))
wanted = st.sampled_from([("fill_rate", 0.8), ("fill_rate", 0.97), ("cycle_service", 0.9)])


@st.composite
def parts(draw: st.DrawFn) -> dict[str, Any]:
    """One part as `target` takes it."""
    mean = draw(st.sampled_from([0.0, 0.02, 0.7, 4.0, 60.0]))
    first = Decimal(draw(st.integers(1, 9000))) / 100
    breaks = draw(st.sampled_from([(), ((20, first / 2),)]))
    order_cost, pack, least = (
        Decimal(draw(st.integers(0, 50))),
        draw(st.integers(1, 9)),
        draw(st.integers(1, 30)),
    )
    kind, service = draw(wanted)
    return {
        "demand": Demand(mean, mean * draw(st.sampled_from([0.5, 1.0, 2.5, 9.0])), 30),
        "lead": draw(leads),
        "terms": Terms(first, order_cost, pack=pack, least=least, breaks=breaks),
        kind: service,
        "review_days": draw(st.sampled_from([1, 7, 30])),
        "shelf_limit": draw(st.none() | st.integers(1, 60)),
        "ends": draw(st.sampled_from([None, None, LastBuy(200.0), LastBuy(90.0, Decimal(3), Decimal(20))])),
    }


def columns(listed: list[dict[str, Any]]) -> Any:
    def column(read: Any) -> Any:
        return np.array([read(one) for one in listed])

    nan = float("nan")
    ends = [one["ends"] or LastBuy(nan) for one in listed]
    breaks = [one["terms"].breaks or ((0, Decimal("NaN")),) for one in listed]
    return part_columns(
        mean=column(lambda one: one["demand"].mean),
        variance=column(lambda one: one["demand"].variance),
        period_days=30,
        leads=LeadColumns.of([one["lead"] for one in listed]),
        review_days=column(lambda one: one["review_days"]),
        fill_rate=column(lambda one: one.get("fill_rate", nan)),
        cycle_service=column(lambda one: one.get("cycle_service", nan)),
        starts=np.array([[0, two[0][0]] for two in breaks]),
        cents=np.array(
            [
                [float(one["terms"].price * 100), float(two[0][1] * 100)]
                for one, two in zip(listed, breaks, strict=True)
            ]
        ),
        order_cents=column(lambda one: float(one["terms"].order_cost * 100)),
        pack=column(lambda one: one["terms"].pack),
        least=column(lambda one: one["terms"].least),
        shelf_limit=column(lambda one: one["shelf_limit"] or 1 << 40),
        life_days=np.array([last.days for last in ends]),
        over_cents=np.array([float((last.left_over or Decimal("NaN")) * 100) for last in ends]),
        under_cents=np.array([float((last.missing or Decimal("NaN")) * 100) for last in ends]),
    )


@settings(max_examples=60, deadline=None)
@given(st.lists(parts(), min_size=1, max_size=6))
def test_many_targets_are_those_of_each_part_alone(listed: list[dict[str, Any]]) -> None:
    found = many_targets(columns(listed))
    for row, one in enumerate(listed):
        alone = target(**one)
        levels = (alone.reorder_at, alone.up_to, alone.order_quantity)
        assert (found.reorder_at[row], found.up_to[row], found.order_quantity[row]) == levels
        services = (alone.fill_rate, alone.cycle_service)
        # A wider table has a longer tail, which counts where next to nothing is asked for between reviews.
        assert (found.fill_rate[row], found.cycle_service[row]) == pytest.approx(services, abs=2e-6)
        assert found.money_cents[row] == pytest.approx(int(alone.money * 100), abs=1)
        assert found.reached[row] == alone.why.room


def some(count: int, **more: Any) -> Any:
    rng = np.random.default_rng(11)
    mean = rng.lognormal(0, 1.3, count)
    deliveries: list[LeadTime] = [lead_time(rng.integers(9, 50, 9).tolist(), [0] * 9, 21) for _ in range(20)]
    return part_columns(
        mean=mean, variance=mean * (1 + rng.exponential(1.5, count)), period_days=365 / 12,
        leads=LeadColumns.of([deliveries[number % 20] for number in range(count)]),
        **{"fill_rate": 0.95, "order_cents": 900, "cents": rng.integers(50, 9000, count), **more},
    )  # fmt: skip


def test_progress_is_told_to_the_end() -> None:
    told: list[tuple[int, int]] = []
    found = many_targets(some(3000), progress=lambda done, of: told.append((done, of)))
    assert told[-1] == (3000, 3000)
    assert [done for done, _ in told] == sorted({done for done, _ in told})
    assert np.all(found.fill_rate >= 0.95 - 1e-8)
    assert np.all(found.up_to > found.reorder_at)


def test_parts_in_any_order_have_the_same_targets() -> None:
    parts_then = some(400)
    turned = np.arange(400)[::-1]
    found, back = many_targets(parts_then), many_targets(parts_then.rows(turned))
    assert np.array_equal(found.reorder_at, back.reorder_at[turned])
    assert np.array_equal(found.order_quantity, back.order_quantity[turned])


def test_more_service_never_needs_less_stock() -> None:
    less, more = many_targets(some(500, fill_rate=0.9)), many_targets(some(500, fill_rate=0.98))
    assert np.all(less.reorder_at <= more.reorder_at)
    assert np.all(less.money_cents <= more.money_cents)


def test_the_nearest_level_is_nearer_than_those_beside_it() -> None:
    wanted = 0.9
    parts_then = some(300, fill_rate=wanted, review_days=7)
    least, found = many_targets(parts_then), many_targets(parts_then, nearest=True)
    lower = least.reorder_at - found.reorder_at
    assert set(lower.tolist()) == {0, 1}
    # One lower where that is nearer, and nowhere else.
    _, rates = ways(parts_then, least, [least.reorder_at - 1, least.reorder_at])
    above, below = rates[1] - wanted, wanted - rates[0]
    assert np.array_equal(lower == 1, (below < above) & (least.reorder_at > 0))
    assert found.reached.all()


def test_nearest_levels_come_to_what_is_wanted_together_and_least_ones_to_more() -> None:
    for wanted in (0.9, 0.95, 0.98):
        parts_then = some(2000, fill_rate=wanted)
        least, nearest = (many_targets(parts_then, nearest=either) for either in (False, True))
        served = [float(one.fill_rate @ parts_then.mean) / parts_then.mean.sum() for one in (least, nearest)]
        assert served[1] == pytest.approx(wanted, abs=0.004)
        assert served[0] > served[1]


def test_a_shelf_too_small_is_told_with_nearest_levels_too() -> None:
    found = many_targets(some(300, shelf_limit=3, review_days=7), nearest=True)
    assert (found.up_to <= 3).all()
    assert found.reached.any() and not found.reached.all()
    roomy = many_targets(some(300, review_days=7), nearest=True)
    same = (found.reorder_at == roomy.reorder_at) & (found.order_quantity == roomy.order_quantity)
    assert found.reached[same].all()


def ways(parts_then: Any, like: ManyTargets, points: list[Any]) -> tuple[list[Any], list[Any]]:
    """The fill rates of other reorder points with the same lots, part by part."""
    fills, _ = standings(parts_then, points, like.order_quantity)
    return points, fills


def test_no_parts_have_no_targets() -> None:
    assert len(many_targets(some(0)).reorder_at) == 0


def test_a_bad_figure_names_its_part() -> None:
    with pytest.raises(PlanningError, match=r"part 2 of 5"):
        some(5, fill_rate=np.array([0.9, 0.9, 9, 0.9, 0.9]))
    with pytest.raises(PlanningError, match="No column of targets: colour"):
        some(5, colour=1)
