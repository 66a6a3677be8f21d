"""Targets for whole kits: what was wanted is kept, nothing is wasted, and small shops have their optimum."""

from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.planning import PlanningError
from inventory.planning.kit_targets import (
    KitDemand,
    KitPart,
    KitTargets,
    Money,
    Need,
    Option,
    kit_shares,
    kit_targets,
    together,
)
from tests.inventory.planning.kit_targets.building import Shop, all_levels, judged, shops

wanted_shares = st.sampled_from([0.5, 0.8, 0.9, 0.97])
moneys = st.sampled_from(Money)
PARTS = [KitPart("pump", 40_000, 45), KitPart("bolt", 20, 10), KitPart("seal", 900, 30, most=4)]
KIT = KitDemand("kit", 20.0, {"pump": 1, "bolt": 6, "seal": Need(1, 0.5)})


def share_of(shop: Shop, levels: dict[str, int]) -> float:
    return together(kit_shares(*shop, levels), shop.kits).estimate


def rises(targets: KitTargets[str]) -> bool:
    return all(a < b and low < high for (a, low), (b, high) in pairwise(targets.frontier))


@given(shops(shapes=True), wanted_shares, moneys)
@settings(max_examples=25, deadline=None)
def test_the_wanted_share_is_reached_and_no_unit_can_be_taken_away(
    shop: Shop, wanted: float, money: Money
) -> None:
    targets = kit_targets(*shop, wanted_share=wanted, money=money)
    assert targets.share >= wanted
    assert share_of(shop, targets.levels) == pytest.approx(targets.share, abs=1e-4)
    assert rises(targets) and (targets.money_cents, targets.share) in targets.frontier
    for part, level in targets.levels.items():
        if level:
            assert share_of(shop, targets.levels | {part: level - 1}) < wanted + 1e-6


@given(shops(shapes=True, limits=True), st.integers(0, 40_000), moneys)
@settings(max_examples=25, deadline=None)
def test_the_budget_is_kept_and_no_useful_unit_fits_in_any_more(
    shop: Shop, budget: int, money: Money
) -> None:
    if budget < sum(one.least * one.cost_cents for one in shop.parts):
        return
    targets = kit_targets(*shop, budget_cents=budget, money=money)
    assert targets.money_cents <= budget and rises(targets)
    for one in shop.parts:
        why = targets.why[one.part]
        assert one.least <= why.level <= (why.level if one.most is None else one.most)
        if why.one_more_cents is not None and targets.money_cents + why.one_more_cents <= budget:
            assert why.one_more_kits == pytest.approx(0, abs=1e-5)


@given(shops(limits=True), wanted_shares)
@settings(max_examples=25, deadline=None)
def test_small_shops_have_levels_as_good_as_any(shop: Shop, wanted: float) -> None:
    every = judged(shop, all_levels(shop))
    least = min((money for money, share in every if share >= wanted), default=None)
    if least is None:
        return
    cheapest = kit_targets(*shop, wanted_share=wanted)
    # Nothing on any hull is missed; between two points of it a tenth may be.
    assert cheapest.money_cents <= 1.10 * least + 1
    best = max(share for money, share in every if money <= cheapest.money_cents)
    most = kit_targets(*shop, budget_cents=cheapest.money_cents)
    assert most.share >= best - 0.02


def test_many_small_shops_nearly_all_have_the_very_optimum() -> None:
    missed = 0
    for pump, bolt, rate in [
        (p, b, r) for p in (100, 700, 9_000) for b in (10, 90, 400) for r in (6.0, 15.0)
    ]:
        shop = Shop(
            [KitPart("a", pump, 30), KitPart("b", bolt, 20), KitPart("c", 300, 40)],
            [
                KitDemand("x", rate, {"a": 1, "b": Need(2, 0.5), "c": 1}),
                KitDemand("y", 5.0, {"b": 2, "c": 1}),
            ],
        )
        every = judged(shop, all_levels(shop, 8))
        least = min(money for money, share in every if share >= 0.8)
        missed += kit_targets(*shop, wanted_share=0.8).money_cents > least + 1
    assert missed <= 1


def test_a_part_of_no_kit_gets_its_least_level() -> None:
    targets = kit_targets([*PARTS, KitPart("odd", 100, 5, least=3)], [KIT], wanted_share=0.9)
    assert targets.levels["odd"] == 3
    assert targets.why["odd"].availability == 1


def test_dear_parts_are_there_less_often_than_cheap_ones() -> None:
    why = kit_targets(PARTS, [KIT], wanted_share=0.9).why
    assert why["pump"].availability < why["bolt"].availability


def test_why_says_what_one_more_and_one_fewer_would_do() -> None:
    targets = kit_targets(PARTS, [KIT], wanted_share=0.9)
    shop = Shop(PARTS, [KIT])
    why, level = targets.why["pump"], targets.levels["pump"]
    more = 20 * (share_of(shop, targets.levels | {"pump": level + 1}) - targets.share)
    fewer = 20 * (targets.share - share_of(shop, targets.levels | {"pump": level - 1}))
    assert why.one_more_kits == pytest.approx(more, abs=1e-4)
    assert why.one_fewer_kits == pytest.approx(fewer, abs=1e-4)
    assert why.one_more_cents is not None and 0 < why.one_more_cents <= 40_000


def test_the_aim_weighs_kits_by_their_weight() -> None:
    parts = [KitPart("a", 100, 30), KitPart("b", 100, 30)]
    kits = [KitDemand("x", 20.0, {"a": 1}, weight=5.0), KitDemand("y", 20.0, {"b": 1}, weight=1.0)]
    shares = kit_targets(parts, kits, budget_cents=400).shares
    assert shares["x"] > shares["y"]


def test_progress_is_told_to_the_end() -> None:
    told: list[tuple[int, int]] = []
    kit_targets(PARTS, [KIT], wanted_share=0.9, progress=lambda done, total: told.append((done, total)))
    assert told == sorted(told) and told[-1][0] == told[-1][1] and len(told) > 5


def test_what_the_shelves_cannot_hold_is_refused_and_says_how_much_they_can() -> None:
    with pytest.raises(PlanningError, match=r"Only \d+\.\d% of the kits can be complete"):
        kit_targets([KitPart("a", 100, 30, most=1)], [KitDemand("x", 90.0, {"a": 1})], wanted_share=0.9)
    with pytest.raises(PlanningError, match="least levels alone tie up"):
        kit_targets([KitPart("a", 100, 0, least=5)], [KitDemand("x", 1.0, {"a": 1})], budget_cents=300)


@pytest.mark.parametrize(
    ("aims", "said"),
    [
        ({}, "either the wanted share or the budget"),
        ({"wanted_share": 0.9, "budget_cents": 1}, "either the wanted share or the budget"),
        ({"wanted_share": 1.0}, "above 0 and below 1"),
        ({"wanted_share": float("nan")}, "above 0 and below 1"),
        ({"budget_cents": -1}, "The budget in cents"),
    ],
)
def test_an_aim_that_cannot_be_is_refused(aims: dict[str, float], said: str) -> None:
    with pytest.raises(PlanningError, match=said):
        kit_targets(PARTS, [KIT], **aims)  # type: ignore[arg-type]  # Bad figures on purpose.


def test_parts_and_kits_that_cannot_be_are_refused() -> None:
    for bad, said in (
        (lambda: KitPart("a", -1, 5), "The cost in cents of part 'a'"),
        (lambda: KitPart("a", 1, {5.0: 0.5}), "sum to 1"),
        (lambda: KitPart("a", 1, -5), "The lead days"),
        (lambda: KitPart("a", 1, 5, least=3, most=2), "The most level"),
        (lambda: KitPart("a", 1, 5, pack=0), "The pack"),
        (lambda: KitDemand("k", 1.0, {}), "needs no parts"),
        (lambda: KitDemand("k", 0.0, {"a": 1}), "The yearly number of kit k"),
        (lambda: KitDemand("k", 1.0, {"a": Need(1, 1.5)}), "sum to more than 1"),
        (lambda: KitDemand("k", 1.0, {"a": 1}, variance_ratio=0.5), "The variance ratio"),
        (
            lambda: KitDemand("k", 1.0, choices=[[Option(0.6, {"a": 1}), Option(0.6, {"b": 1})]]),
            "sum to more",
        ),
        (
            lambda: kit_targets(PARTS, [KitDemand("k", 1.0, {"z": 1})], wanted_share=0.9),
            "not among the parts",
        ),
        (lambda: kit_targets([*PARTS, PARTS[0]], [KIT], wanted_share=0.9), "given twice"),
        (lambda: kit_targets(PARTS, [], wanted_share=0.9), "No kit counts"),
    ):
        with pytest.raises(PlanningError, match=said):
            bad()


def test_a_choice_of_which_both_options_run_short_is_settled_and_not_turned_over_for_ever() -> None:
    parts = [KitPart("a", 300, 20, most=2), KitPart("b", 1_000, 40, most=2), KitPart("c", 100, 10, most=3)]
    choice = [Option(0.7, {"a": 1}), Option(0.3, {"b": 2})]
    kits = [
        KitDemand("x", 30.0, {"a": 1, "b": 1, "c": 1}, [choice], 2.5),
        KitDemand("y", 30.0, {"b": Need(2, 0.5), "c": 1}, [choice]),
    ]
    for budget in (0, 500, 1_500, 4_000):
        targets = kit_targets(parts, kits, budget_cents=budget, money=Money.LEVEL)
        assert targets.money_cents <= budget
