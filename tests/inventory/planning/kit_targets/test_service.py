"""The share of kits complete from stock: between its bounds, exact where it can be, true in a simulation."""

from itertools import product
from math import prod

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import binom, nbinom, poisson

from inventory.planning import PlanningError
from inventory.planning.kit_targets import (
    KitDemand,
    KitPart,
    Need,
    Option,
    exact_share,
    kit_shares,
    simulate,
    together,
)
from tests.inventory.planning.kit_targets.building import Shop, shops

levels = st.fixed_dictionaries({name: st.integers(0, 9) for name in "abcd"})
ONE_KIT = KitDemand("kit", 73.0, {"a": 1, "b": Need(2, 0.5), "c": Need(1, 0.25)})
THREE = [KitPart(name, 100, 20) for name in "abc"]


@given(shops(shapes=True), levels)
@settings(max_examples=20, deadline=None)
def test_the_estimate_lies_between_the_product_and_the_smallest_availability(
    shop: Shop, at: dict[str, int]
) -> None:
    for share in kit_shares(*shop, at).values():
        assert 0 <= share.least <= share.estimate <= share.most <= 1


@given(shops(shapes=True), levels, st.sampled_from("abcd"))
@settings(max_examples=20, deadline=None)
def test_the_share_never_falls_when_a_level_rises(shop: Shop, at: dict[str, int], part: str) -> None:
    low, high = kit_shares(*shop, at), kit_shares(*shop, at | {part: at[part] + 1})
    for name, share in low.items():
        assert high[name].least >= share.least - 1e-7
        assert high[name].estimate >= share.estimate - 1e-6
        assert high[name].most >= share.most - 1e-6


@pytest.mark.parametrize("at", [(1, 2, 0), (4, 4, 1), (5, 8, 2), (9, 12, 4)])
def test_one_kit_is_reckoned_exactly_by_its_own_orders(at: tuple[int, int, int]) -> None:
    wanted = dict(zip("abc", at, strict=True))
    by_hand = sum(
        poisson.pmf(n, 4)
        * (n < at[0])
        * (0.5 + 0.5 * binom.cdf((at[1] - 2) // 2, n, 0.5))
        * (0.75 + 0.25 * binom.cdf(at[2] - 1, n, 0.25))
        for n in range(60)
    )
    assert exact_share(THREE, ONE_KIT, wanted) == pytest.approx(by_hand, abs=1e-9)
    assert kit_shares(THREE, [ONE_KIT], wanted)["kit"].estimate == pytest.approx(by_hand, abs=1e-6)


@given(shops(kits=1), levels)
@settings(max_examples=25, deadline=None)
def test_the_estimate_of_one_kit_with_one_lead_time_is_exact(shop: Shop, at: dict[str, int]) -> None:
    parts = [KitPart(one.part, one.cost_cents, 20) for one in shop.parts]
    exact = exact_share(parts, shop.kits[0], at)
    assert kit_shares(parts, shop.kits, at)["kit 0"].estimate == pytest.approx(exact, abs=1e-5)


def test_orders_in_clumps_find_those_of_their_own_clump_before_them() -> None:
    # A window of 20 days has 4 orders on average, twice as spread as Poisson: r = 4, p = 1/2. Of a clump's
    # sizes theta^y / y / ln 2 with theta = 1/2 the mean is 1 / ln 2, so that P(J = j) is the sum of
    # theta^y / y over y > j.
    kit = KitDemand("kit", 73.0, {"a": 1}, variance_ratio=2.0)
    ahead = [sum(0.5**y / y for y in range(j + 1, 200)) for j in range(60)]
    by_hand = sum(ahead[j] * nbinom.cdf(6 - 1 - j, 4, 0.5) for j in range(6))
    assert exact_share(THREE, kit, {"a": 6}) == pytest.approx(by_hand, abs=1e-9)
    assert kit_shares(THREE, [kit], {"a": 6, "b": 0, "c": 0})["kit"].estimate == pytest.approx(
        by_hand, abs=1e-6
    )


def test_a_choice_takes_one_option_or_the_other() -> None:
    kit = KitDemand("kit", 73.0, choices=[[Option(0.6, {"a": 1}), Option(0.4, {"b": 1, "c": 1})]])
    by_hand = sum(
        poisson.pmf(n, 2.4) * poisson.pmf(m, 1.6) * (0.6 * (n < 4) + 0.4 * (m < 2))
        for n, m in product(range(40), repeat=2)
    )
    at = {"a": 4, "b": 2, "c": 5}
    assert exact_share(THREE, kit, at) == pytest.approx(by_hand, abs=1e-9)
    assert kit_shares(THREE, [kit], at)["kit"].estimate <= by_hand + 1e-6


def test_loose_demand_and_a_spread_lead_time_are_mixed_in_exactly() -> None:
    loose = [0.5, 0.3, 0.2]
    part = KitPart("a", 100, {10.0: 0.5, 30.0: 0.5}, loose=loose)
    by_hand = sum(
        chance * 0.5 * (poisson.cdf(4 - taken, 2) + poisson.cdf(4 - taken, 6))
        for taken, chance in enumerate(loose)
    )
    share = kit_shares([part], [KitDemand("kit", 73.0, {"a": 1})], {"a": 5})["kit"]
    assert [share.least, share.estimate, share.most] == pytest.approx([by_hand] * 3, abs=1e-5)


def test_a_pack_spreads_the_position_evenly_below_the_level() -> None:
    part = KitPart("a", 100, 20.0, pack=4)
    share = kit_shares([part], [KitDemand("kit", 73.0, {"a": 1})], {"a": 9})["kit"]
    assert share.estimate == pytest.approx(sum(poisson.cdf(8 - n, 4) for n in range(4)) / 4, abs=1e-6)


@pytest.mark.parametrize("seed", range(6))
def test_the_simulated_share_lies_between_the_bounds_and_near_the_estimate(seed: int) -> None:
    ratio = 1.0 if seed % 2 else 2.0
    parts = [KitPart(f"p{number}", 100, 15.0 + 15 * (number % 3)) for number in range(8)]
    kits = [
        KitDemand(
            "long", 30.0, {f"p{n}": Need(1 + n % 2, 1.0 if n < 4 else 0.5) for n in range(7)}, (), ratio
        ),
        KitDemand("short", 20.0, {f"p{n}": 1 for n in (0, 3, 6, 7)}),
    ]
    at = {f"p{n}": (3 + seed + n % 3) * (1 + n % 2) for n in range(8)}
    bounds, seen = kit_shares(parts, kits, at), simulate(parts, kits, at, years=1_500, seed=seed)
    # Four standard errors. The estimate is never above the truth, and here at most 4 points below it; 12
    # where another kit's orders come in clumps, for they too take of several parts together.
    gap = 0.04 if ratio == 1 else 0.12
    for name, share in bounds.items():
        assert share.least - 4 * seen.error <= seen.shares[name] <= share.most + 4 * seen.error
    whole = together(bounds, kits)
    assert whole.estimate - 4 * seen.error <= seen.share <= whole.estimate + gap + 4 * seen.error


def test_the_product_is_far_too_low_where_parts_run_short_together() -> None:
    parts = [KitPart(f"p{number}", 100, 30.0) for number in range(12)]
    kit = KitDemand("kit", 40.0, {one.part: 1 for one in parts})
    share = kit_shares(parts, [kit], dict.fromkeys((one.part for one in parts), 6))["kit"]
    alone = poisson.cdf(5, 40 * 30 / 365)
    assert share.least == pytest.approx(prod([alone] * 12), abs=1e-6)
    assert share.estimate == pytest.approx(alone, abs=1e-6)


def test_what_cannot_be_gone_through_is_refused() -> None:
    many = [Option(0.1, {"a": number}) for number in range(1, 10)]
    with pytest.raises(PlanningError, match="one lead time"):
        exact_share([*THREE[:2], KitPart("c", 100, 30)], ONE_KIT, {"a": 1, "b": 1, "c": 1})
    with pytest.raises(PlanningError, match="cannot be gone through"):
        exact_share(THREE, KitDemand("kit", 900.0, choices=[many]), {"a": 9})
    with pytest.raises(PlanningError, match="No level was given for part 'b'"):
        kit_shares(THREE, [ONE_KIT], {"a": 1})
