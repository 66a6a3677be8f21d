"""The target of one part, its limits and its reasons."""

from dataclasses import replace
from decimal import Decimal
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.planning import PlanningError, order_quantity
from inventory.planning.lead_demand import demand_in, demand_over
from inventory.planning.lead_times import fixed, lead_time
from inventory.planning.targets import Demand, LastBuy, PartTarget, Terms, cycle_service_of, target

from .replaying import replay

LEAD = lead_time([21, 20, 21, 21, 22], [0, 0, 0, 0, 1], 21)
SLOW = Demand(1.4, 3.0, 365 / 12)
TERMS = Terms(Decimal("12.50"), Decimal(15))


def of(demand: Demand = SLOW, terms: Terms = TERMS, **more: Any) -> PartTarget:
    wanted: dict[str, Any] = {} if "cycle_service" in more else {"fill_rate": 0.95}
    return target(demand, LEAD, terms, **wanted, supplier="Corran", **more)


def test_a_buyer_is_told_why() -> None:
    found = of()
    assert found.why.sentence == (
        "Sells about 1.4 a month, sometimes 5; Corran takes 21 days, 1 in 5 late; "
        f"{found.reorder_at} on hand when ordering keep {int(found.fill_rate * 100)} of 100 pieces served."
    )
    assert found.why.lead_source == "5 deliveries"
    assert found.why.asked_meanwhile == pytest.approx(1.4 / (365 / 12) * 22)
    assert found.why.lot.startswith("the cheapest lot, for ")


def test_a_cycle_service_is_told_as_times_of_100() -> None:
    found = of(cycle_service=0.9)
    assert found.cycle_service == pytest.approx(
        cycle_service_of(demand_over(1.4, 3.0, 365 / 12, LEAD, 1), found.reorder_at)
    )
    assert found.why.sentence.endswith(
        f"on hand when ordering last until the delivery {int(found.cycle_service * 100)} times of 100."
    )


@settings(max_examples=40)
@given(st.floats(0.05, 30), st.floats(0, 3), st.integers(1, 6), st.integers(1, 12), st.floats(0.5, 0.99))
def test_levels_order_whole_packs_of_at_least_the_least(
    mean: float, more: float, pack: int, least: int, wanted: float
) -> None:
    found = target(
        Demand(mean, mean * (1 + more), 30), LEAD, replace(TERMS, pack=pack, least=least), fill_rate=wanted
    )
    assert found.fill_rate >= wanted - 1e-8
    assert found.up_to > found.reorder_at >= 0
    assert order_quantity(found.reorder_at, found.up_to, pack, least) == found.order_quantity
    assert found.order_quantity % pack == 0
    assert found.order_quantity >= least


@pytest.mark.parametrize("seed", range(3))
def test_a_shop_that_keeps_to_it_serves_what_is_told(seed: int) -> None:
    terms = replace(TERMS, pack=4, least=6)
    found = target(SLOW, fixed(21), terms, fill_rate=0.95, review_days=7)
    share = 1.4 / 3.0
    size = 1.4 * share / (1 - share) / (365 / 12)
    demand = np.random.default_rng(seed).negative_binomial(size, share, 400_000)
    seen = replay(demand, [21], 7, (found.reorder_at, found.up_to, 4, 6))
    assert seen.fill_rate == pytest.approx(found.fill_rate, abs=0.01)
    assert seen.on_hand * 12.5 == pytest.approx(float(found.money), rel=0.03)


@pytest.mark.parametrize(("mean", "variance"), [(1.4, 3.0), (5.0, 40.0)])
def test_a_supplier_who_varies_is_reckoned_with(mean: float, variance: float) -> None:
    """Replayed over 600,000 days."""
    days = [14, 45, 21, 18, 30, 21, 60, 25]
    terms = replace(TERMS, order_cost=Decimal(40))
    mixed, flat = (
        target(Demand(mean, variance, 30), lead, terms, fill_rate=0.95, review_days=7)
        for lead in (lead_time(days, [0] * 8, 21), fixed(sum(days) / 8))
    )
    share = mean / variance
    size = mean * share / (1 - share) / 30
    demand = np.random.default_rng(2).negative_binomial(size, share, 600_000)
    seen = replay(demand, days, 7, (mixed.reorder_at, mixed.up_to, 1, 1))
    assert seen.fill_rate == pytest.approx(mixed.fill_rate, abs=0.012)
    assert flat.reorder_at <= mixed.reorder_at
    assert flat.fill_rate - mixed.fill_rate > 0.001 or flat.reorder_at < mixed.reorder_at


def test_a_small_shelf_first_takes_smaller_lots_and_then_serves_less() -> None:
    free = of()
    roomy, tight = of(shelf_limit=free.reorder_at + free.order_quantity - 3), of(shelf_limit=3)
    assert roomy.order_quantity < free.order_quantity
    assert roomy.fill_rate >= 0.95
    assert roomy.why.room
    assert roomy.why.lot == "as many as the shelf holds"
    assert tight.reorder_at + tight.order_quantity <= 3
    assert tight.fill_rate < 0.95
    assert not tight.why.room
    assert tight.why.sentence.endswith("The shelf holds 3, too few for what is wanted.")


def test_a_pack_that_no_shelf_holds_is_ordered_when_nothing_is_left() -> None:
    found = of(terms=replace(TERMS, pack=50), shelf_limit=20)
    assert (found.reorder_at, found.order_quantity, found.why.room) == (0, 50, False)


@pytest.mark.parametrize(
    ("terms", "said"),
    [
        (replace(TERMS, pack=40), "one pack of 40"),
        (replace(TERMS, least=30), "the supplier's least order of 30"),
        (replace(TERMS, order_cost=Decimal(0)), "one at a time"),
        (replace(TERMS, order_cost=Decimal(900)), "for 24 months, and no lot is for longer"),
        (replace(TERMS, breaks=((25, Decimal("9.00")),)), "the price of 9.00 from 25 on"),
    ],
)
def test_the_lot_has_its_reason(terms: Terms, said: str) -> None:
    assert of(terms=terms).why.lot == said


def test_nothing_is_kept_of_what_nobody_asks_for() -> None:
    found = of(Demand(0, 0, 30))
    assert (found.reorder_at, found.up_to, found.order_quantity) == (0, 0, 0)
    assert found.money == 0
    assert found.why.sentence == "Nothing was asked for: keep none."
    assert of(ends=LastBuy(0)).why.sentence == "Nobody asks for it any more: keep none."


def test_a_last_buy_is_for_the_rest_of_its_life() -> None:
    found = of(ends=LastBuy(300))
    by_hand = demand_in(1.4, 3.0, 365 / 12, 300)
    served = 1 - sum(c * max(0, n - found.up_to) for n, c in enumerate(by_hand)) / (1.4 * 300 * 12 / 365)
    assert found.fill_rate == pytest.approx(served, abs=1e-6)
    assert found.fill_rate >= 0.95
    assert found.money == found.up_to * Decimal("12.50")
    assert found.why.sentence == (
        f"About 14 more will be asked for in 300 days; {found.up_to} bought once, less what is there, "
        f"serve {int(found.fill_rate * 100)} of 100 pieces."
    )


def test_what_is_left_over_makes_a_last_buy_smaller() -> None:
    dear, cheap = (of(ends=LastBuy(300, Decimal(cost), Decimal(50))).up_to for cost in (100, 1))
    assert dear < 14 < cheap


def test_a_history_speaks_for_itself() -> None:
    """Always 4 at once, so that 3 on hand are as good as none."""
    history = [0, 0, 0, 4, 0, 0, 0, 0, 4, 0]
    found = of(Demand.seen(history, 30), replace(TERMS, order_cost=Decimal(0), pack=4))
    assert (found.reorder_at + found.order_quantity) % 4 == 3 or found.fill_rate >= 0.95
    assert found.why.empty_months == pytest.approx(0.8, abs=0.02)
    assert "mostly none, sometimes 4" in found.why.sentence


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ({"cycle_service": 1.5}, "between 0 and 1"),
        ({"review_days": 0}, "at least 1 day"),
        ({"shelf_limit": -1}, "at least 0"),
        ({"terms": replace(TERMS, pack=0)}, "A pack"),
        ({"terms": replace(TERMS, price=Decimal(-1))}, "Money"),
        ({"terms": replace(TERMS, breaks=((0, Decimal(9)),))}, "Price breaks"),
        ({"demand": Demand(-1, 1, 30)}, "never below zero"),
        ({"ends": LastBuy(100, Decimal(5))}, "both or neither"),
        ({"ends": LastBuy(-1)}, "not below zero"),
    ],
)
def test_figures_that_nothing_can_have(more: dict[str, Any], said: str) -> None:
    with pytest.raises(PlanningError, match=said):
        of(**more)


def test_one_service_is_wanted_not_two_and_not_none() -> None:
    for fill, cycle in ((None, None), (0.9, 0.9)):
        with pytest.raises(PlanningError, match="a fill rate or a cycle service"):
            target(SLOW, LEAD, TERMS, fill_rate=fill, cycle_service=cycle)
    with pytest.raises(PlanningError, match="at least one period"):
        Demand.seen([], 30)
