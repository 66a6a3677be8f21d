"""Whole kits from stock: the arithmetic, and relations of assemble-to-order systems that are published."""

from math import prod

import pytest
from scipy.stats import poisson

from inventory.planning.kit_targets import KitDemand, KitPart, exact_share, kit_shares, kit_targets, simulate
from inventory.planning.kit_targets.book import Book

LEVELS = {"a": 4, "b": 6, "c": 5}
PARTS = [KitPart("a", 5_000, 20), KitPart("b", 700, 40), KitPart("c", 40, 30)]
KITS = [KitDemand("abc", 30.0, {"a": 1, "b": 1, "c": 1}), KitDemand("bc", 15.0, {"b": 1, "c": 1})]


def test_twelve_parts_each_there_95_times_in_100_make_a_whole_kit_54_times() -> None:
    # Arithmetic, common practice, no source: 0.95 ** 12 = 0.540 where the parts run short independently.
    assert pytest.approx(0.54, abs=0.001) == 0.95**12
    parts = [KitPart(f"p{n}", 100, 20, loose=[0.95, 0.05]) for n in range(12)]
    kit = KitDemand("kit", 1e-6, {one.part: 1 for one in parts})
    share = kit_shares(parts, [kit], dict.fromkeys((one.part for one in parts), 1))["kit"]
    assert share.least == pytest.approx(0.95**12, abs=1e-6)
    assert share.estimate == pytest.approx(0.95**12, abs=1e-6)
    assert share.most == pytest.approx(0.95, abs=1e-6)


def test_the_fill_rate_of_one_part_is_the_chance_of_less_demand_in_a_lead_time_than_the_level() -> None:
    # Base stock with Poisson demand and backorders: fill rate = P(D(L) <= S - 1). Sherbrooke, Optimal
    # Inventory Modeling of Systems; Zipkin, Foundations of Inventory Management, section 6. From memory.
    kit = KitDemand("one", 36.5, {"a": 1})
    for level in range(8):
        share = kit_shares(PARTS, [kit], {"a": level, "b": 0, "c": 0})["one"]
        assert share.estimate == pytest.approx(poisson.cdf(level - 1, 2.0), abs=1e-6)


def test_the_order_fill_rate_lies_between_the_product_and_the_smallest_item_fill_rate() -> None:
    # Song, On the order fill rate in a multi-item, base-stock inventory system, Operations Research 46
    # (1998); Song & Zipkin, Supply chain operations: assemble-to-order systems, Handbooks in OR & MS 11
    # (2003). From memory.
    found = {"a": 30.0 * 20, "b": 45.0 * 40, "c": 45.0 * 30}
    items = {part: poisson.cdf(LEVELS[part] - 1, rate / 365) for part, rate in found.items()}
    seen = simulate(PARTS, KITS, LEVELS, years=2_000, seed=11)
    shares = kit_shares(PARTS, KITS, LEVELS)
    for name, parts in (("abc", "abc"), ("bc", "bc")):
        assert shares[name].least == pytest.approx(prod(items[part] for part in parts), abs=1e-6)
        assert shares[name].most == pytest.approx(min(items[part] for part in parts), abs=1e-6)
        assert shares[name].least < shares[name].estimate < seen.shares[name] + 4 * seen.error
        assert seen.shares[name] < shares[name].most


def test_parts_of_one_kit_with_one_lead_time_are_as_good_as_the_scarcest() -> None:
    # The same source: with one kind of order, one of each item and equal lead times the bound above is
    # reached, for every item has met the same orders.
    parts = [KitPart(name, 100, 30) for name in "abc"]
    kit = KitDemand("kit", 40.0, {"a": 1, "b": 1, "c": 1})
    scarcest = poisson.cdf(3, 40 * 30 / 365)
    assert exact_share(parts, kit, LEVELS) == pytest.approx(scarcest, abs=1e-9)
    assert kit_shares(parts, [kit], LEVELS)["kit"].estimate == pytest.approx(scarcest, abs=1e-6)


def test_expected_stock_on_hand_is_the_level_less_the_demand_met_of_a_lead_time() -> None:
    # E[(S - D)+] = sum over s < S of P(D <= s), for base stock with Poisson demand. Zipkin, Foundations of
    # Inventory Management, section 6; from memory.
    book = Book([KitPart("a", 1, 20)], [KitDemand("one", 36.5, {"a": 1})])
    for level in range(book.rows[0].top):
        direct = sum((level - d) * poisson.pmf(d, 2.0) for d in range(level))
        assert float(book.rows[0].money[level]) == pytest.approx(direct, abs=1e-9)


def test_money_goes_to_availability_where_it_is_cheap() -> None:
    # Marginal analysis: of two parts alike but in cost, the cheap one is stocked deeper. Sherbrooke, METRIC,
    # Operations Research 16 (1968); from memory. Loose sales keep the two from running short together.
    parts = [KitPart("dear", 10_000, 30), KitPart("cheap", 100, 30)]
    kits = [
        KitDemand("kit", 10.0, {"dear": 1, "cheap": 1}),
        KitDemand("dear loose", 30.0, {"dear": 1}, weight=0.0),
        KitDemand("cheap loose", 30.0, {"cheap": 1}, weight=0.0),
    ]
    levels = kit_targets(parts, kits, wanted_share=0.94).levels
    assert levels["cheap"] > levels["dear"]
