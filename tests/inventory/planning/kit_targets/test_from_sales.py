"""What kits want is learnt from the kits that were sold, whole pieces and all."""

from __future__ import annotations

from collections import Counter
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.planning.kit_targets import KitSale, Need, Option, kit_demands
from inventory.planning.kit_targets.from_sales import apart

UNTIL = date(2026, 1, 1)


def steady(parts: dict[str, int], *, kit: str = "belt", a_month: int = 2, day: int = 5) -> list[KitSale[str]]:
    """Two years of so many kits a month, each sold by itself."""
    months = [date(year, month, day) for year in (2024, 2025) for month in range(1, 13)]
    return [KitSale(kit, month, 1, parts) for month in months for _ in range(a_month)]


def test_a_part_that_is_always_in_is_a_need_with_its_pieces() -> None:
    (kit,) = kit_demands(steady({"pump": 1, "bolt": 6}), UNTIL)
    assert kit.name == "belt" and kit.a_year == pytest.approx(24.0)
    assert kit.needs == {"pump": Need(1, 1.0), "bolt": Need(6, 1.0)}
    assert kit.variance_ratio == 1.0 and not kit.choices


def test_a_part_that_is_in_now_and_then_has_that_rate() -> None:
    sales = [*steady({"pump": 1, "guard": 1}, a_month=1), *steady({"pump": 1}, a_month=3)]
    (kit,) = kit_demands(sales, UNTIL)
    assert kit.needs["guard"] == Need(1, 0.25)


def test_parts_of_one_place_are_a_choice() -> None:
    sales = [*steady({"pump": 1, "long": 1}, a_month=1), *steady({"pump": 1, "short": 1}, a_month=3)]
    (kit,) = kit_demands(sales, UNTIL, same_place=[("long", "short")])
    assert kit.choices == [[Option(0.25, {"long": 1}), Option(0.75, {"short": 1})]]
    assert kit.needs == {"pump": Need(1, 1.0)}


def test_places_reach_over_several_stand_ins() -> None:
    sales = [sale for name in "abc" for sale in steady({name: 1}, a_month=1)]
    (kit,) = kit_demands(sales, UNTIL, same_place=[("a", "b"), ("c", "b")])
    assert [len(choice) for choice in kit.choices] == [3]


def test_a_part_that_goes_in_in_different_numbers_is_a_choice_of_numbers() -> None:
    sales = [*steady({"bolt": 6}, a_month=1), *steady({"bolt": 8}, a_month=1)]
    (kit,) = kit_demands(sales, UNTIL)
    assert kit.choices == [[Option(0.5, {"bolt": 6}), Option(0.5, {"bolt": 8})]]


def test_lost_kits_are_wanted_but_do_not_tell_what_goes_in() -> None:
    lost: list[KitSale[str]] = [
        KitSale("belt", sale.day, 1, {}, lost=True) for sale in steady({"pump": 1}, a_month=1)
    ]
    (kit,) = kit_demands([*steady({"pump": 1}, a_month=1), *lost], UNTIL)
    assert kit.a_year == pytest.approx(24.0)
    assert kit.needs == {"pump": Need(1, 1.0)}


def test_what_is_sold_later_is_not_known_yet_and_what_is_only_lost_is_no_kit() -> None:
    later = [KitSale("belt", UNTIL, 9, {"pump": 9})]
    assert kit_demands(later, UNTIL) == []
    (kit,) = kit_demands([*steady({"pump": 1}), *later], UNTIL)
    assert kit.a_year == pytest.approx(24.0)
    assert kit_demands([KitSale("belt", date(2025, 3, 1), 1, {}, lost=True)], UNTIL) == []


def test_a_kit_is_counted_from_its_first_sale() -> None:
    new = [KitSale("new", date(2025, 10, 3), 2, {"arm": 2}), KitSale("new", date(2025, 12, 3), 4, {"arm": 4})]
    kits = {kit.name: kit for kit in kit_demands([*steady({"pump": 1}), *new], UNTIL)}
    assert kits["new"].a_year == pytest.approx(24.0, rel=0.3)


def test_orders_in_clumps_show_in_the_variance_ratio() -> None:
    clumps = [KitSale("belt", date(2024 + n // 6, 1 + 2 * (n % 6), 5), 8, {"pump": 8}) for n in range(12)]
    (kit,) = kit_demands(clumps, UNTIL)
    assert kit.variance_ratio > 3


taken = st.dictionaries(st.sampled_from("abcd"), st.integers(0, 9), max_size=4)


@given(taken, st.integers(1, 6))
def test_kits_taken_apart_have_all_the_pieces_and_as_evenly_as_can_be(
    parts: dict[str, int], kits: int
) -> None:
    found = apart(parts, kits)
    assert len(found) == kits
    total = Counter[str]()
    for one in found:
        total.update(dict(one))
    assert total == Counter({part: n for part, n in parts.items() if n})
    for part in parts:
        each = [dict(one).get(part, 0) for one in found]
        assert max(each) - min(each) <= 1
    # Pieces that are left over go to different kits, as long as there are enough of them.
    over = [sum(n > parts[part] // kits for part, n in one) for one in found]
    assert max(over, default=0) - min(over, default=0) <= 1
