"""Two figures to order by, and the level that whoever goes by them keeps."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import poisson

from inventory.planning.kit_targets import KitDemand, KitPart, kit_shares, level_of, levels_of, ordered_so

KIT = KitDemand("kit", 73.0, {"a": 1})
IN_LEAD_TIME = 4.0  # of 73 kits a year, in 20 days
DEAR_TO_ORDER = KitPart("a", 100, 20, pack=40, least=3, most=90)


@given(st.integers(1, 60), st.integers(1, 30), st.integers(1, 12))
def test_a_level_is_found_again_from_its_figures(more: int, packs: int, pack: int) -> None:
    lot = packs * pack
    level = lot + more
    reorder_at, up_to = levels_of(level, lot, pack)
    assert level_of(reorder_at, up_to, pack) == level
    (part,), levels = ordered_so([KitPart("a", 100, 20)], {"a": (reorder_at, up_to)}, {"a": pack})
    assert (part.pack, levels) == (lot, {"a": level})


@pytest.mark.parametrize(("reorder_at", "up_to"), [(4, 8), (0, 1), (7, 8), (2, 20)])
def test_the_position_runs_between_the_figures_whatever_lot_is_cheapest(reorder_at: int, up_to: int) -> None:
    parts, levels = ordered_so([DEAR_TO_ORDER], {"a": (reorder_at, up_to)}, {})
    positions = range(reorder_at + 1, up_to + 1)
    there = sum(poisson.cdf(position - 1, IN_LEAD_TIME) for position in positions) / len(positions)
    assert kit_shares(parts, [KIT], levels)["kit"].estimate == pytest.approx(there, abs=1e-6)


def test_what_is_not_bought_keeps_nothing_and_the_others_stay_as_they_are() -> None:
    other = KitPart("b", 100, 20, pack=7)
    parts, levels = ordered_so([DEAR_TO_ORDER, other], {"a": (0, 0)}, {"a": 5})
    assert levels == {"a": 0} and parts[0].pack == 1 and parts[1] is other
