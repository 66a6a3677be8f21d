"""Marginal analysis by the product of availabilities, against every combination of levels."""

from itertools import pairwise, product
from math import exp, prod

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.planning.kit_targets import KitDemand, KitPart
from inventory.planning.kit_targets.book import Book
from inventory.planning.kit_targets.marginal import Marginal, hull
from tests.inventory.planning.kit_targets.building import Shop, shops


@given(shops(kits=1, limits=True))
@settings(max_examples=40, deadline=None)
def test_no_levels_beat_a_point_of_the_path_of_one_kit(shop: Shop) -> None:
    book = Book(shop.parts, shop.kits)
    path = Marginal(book).path(book.weights)
    points = list(zip(path.money.tolist(), path.share.tolist(), strict=True))
    there = {pair.part: pair.there for pair in book.pairs}
    choices = [range(row.least, min(row.top, 6) + 1) for row in book.rows]
    for levels in product(*choices):
        money = sum(float(row.money[level]) for row, level in zip(book.rows, levels, strict=True))
        share = prod(float(there[part][level]) for part, level in enumerate(levels) if part in there)
        for cents, best in points:
            assert not (money <= cents * (1 - 1e-9) and share > best * (1 + 1e-9))
            assert not (money <= cents * (1 + 1e-9) and share > best * (1 + 1e-6) + 1e-12)


@given(shops(kits=3, shapes=True, limits=True))
@settings(max_examples=30, deadline=None)
def test_a_path_says_what_its_levels_cost_and_reach(shop: Shop) -> None:
    book = Book(shop.parts, shop.kits)
    marginal = Marginal(book)
    path = marginal.path(book.weights)
    for steps in {0, len(path.part) // 2, len(path.part)}:
        levels = path.levels(steps)
        money = sum(float(row.money[level]) for row, level in zip(book.rows, levels, strict=True))
        logs = marginal.logs_at(levels).tolist()
        share = sum(weight * exp(log) for weight, log in zip(book.weights.tolist(), logs, strict=True))
        assert path.money[steps] == pytest.approx(money)
        assert path.share[steps] == pytest.approx(share, abs=1e-9)


@given(st.lists(st.tuples(st.integers(0, 5), st.integers(0, 20)), min_size=1, max_size=8))
def test_a_hull_lies_on_no_lower_side_of_any_point(steps: list[tuple[int, int]]) -> None:
    money = [sum(step[0] for step in steps[: n + 1]) for n in range(len(steps))]
    value = [sum(step[1] for step in steps[: n + 1]) for n in range(len(steps))]
    kept = hull(money, value, 0)
    assert kept[0] == 0 and value[kept[-1]] == max(value)
    for a, b in pairwise(kept):
        for level in range(len(steps)):
            across = (value[level] - value[a]) * (money[b] - money[a])
            assert across <= (value[b] - value[a]) * (money[level] - money[a])


def test_six_bolts_to_a_kit_are_bought_six_at_a_time() -> None:
    book = Book([KitPart("bolt", 10, 20)], [KitDemand("kit", 36.5, {"bolt": 6})])
    path = Marginal(book).path(book.weights)
    assert set(path.to.tolist()) <= set(range(6, 100, 6))
