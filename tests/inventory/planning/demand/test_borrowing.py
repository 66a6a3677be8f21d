"""A new part expects what its slots ask for."""

import numpy as np
import pytest

from inventory.planning import PlanningError
from inventory.planning.demand import borrowed_means


def test_kits_times_share_times_pieces_summed_over_slots() -> None:
    slots = [("hub", 10.0, 0.25, 1), ("hub", 4.0, 1.0, 2), ("nut", 10.0, 0.0, 6), ("belt", 1.0, 1.0, 1)]
    found = borrowed_means(["nut", "hub", "seal"], slots)
    assert found[:2].tolist() == [0.0, 10.5] and np.isnan(found[2])


@pytest.mark.parametrize(
    "slot", [("hub", -1.0, 0.5, 1), ("hub", 1.0, 1.5, 1), ("hub", 1.0, 0.5, 0), ("hub", float("nan"), 0.5, 1)]
)
def test_a_slot_of_impossible_figures_is_refused(slot: tuple[str, float, float, int]) -> None:
    with pytest.raises(PlanningError, match="A slot of part 'hub'"):
        borrowed_means(["hub"], [slot])
