"""Classes of demand by interval and variation, and classes by value.

Cut-offs 1.32 and 0.49: Syntetos, Boylan and Croston, "On the categorization of demand patterns",
J. Operational Research Society 56 (2005), 495-503, from memory. The series are made up; their figures
were worked out by the closed formulas, separately from this code: ADI is periods over demands, CV2 that of
the sizes of the demands with the population's variance (other authors take the sample's: the classes below
are the same by either).
"""

import numpy as np
import pytest

from inventory.planning.demand import abc, classify, kinds

NAN = float("nan")
SERIES: dict[str, tuple[list[float], float, float, str]] = {
    "A": ([0, 0, 3, 0, 0, 0, 5, 0, 2, 0, 0, 4], 3.0, 0.10204, "intermittent"),
    "C": ([0, 10, 0, 0, 1, 0, 0, 0, 25, 0, 2, 0, 0, 0, 6, 0], 3.2, 0.97831, "lumpy"),
    "E": ([1, 1, 0, 2, 1, 0, 1, 3, 0, 1, 1, 2], 1.33333, 0.22485, "intermittent"),
}


@pytest.mark.parametrize("name", SERIES)
def test_series_fall_into_their_classes(name: str) -> None:
    """K06-V05, V06 and V07."""
    demand, adi, cv2, kind = SERIES[name]
    found = classify([demand])
    assert found.adi[0] == pytest.approx(adi, abs=1e-5)
    assert found.cv2[0] == pytest.approx(cv2, abs=1e-5)
    assert found.kind[0] == kind


def test_all_series_in_one_table_of_parts_that_came_on_sale_at_different_times() -> None:
    periods = max(len(demand) for demand, *_ in SERIES.values())
    table = [[NAN] * (periods - len(demand)) + demand for demand, *_ in SERIES.values()]
    found = classify(table)
    assert found.adi == pytest.approx([adi for _, adi, *_ in SERIES.values()], abs=1e-5)
    assert found.cv2 == pytest.approx([cv2 for *_, cv2, _ in SERIES.values()], abs=1e-5)
    assert found.kind.tolist() == [kind for *_, kind in SERIES.values()]


def test_the_four_quadrants_just_off_the_cut_offs() -> None:
    """K06-V08: just off, because authors do not agree on which side a figure on the line itself falls."""
    adi, cv2 = np.array([1.31, 1.31, 1.33, 1.33]), np.array([0.48, 0.50, 0.48, 0.50])
    assert kinds(adi, cv2).tolist() == ["smooth", "erratic", "intermittent", "lumpy"]


def test_few_parts_make_most_of_the_money() -> None:
    """Common practice, no source: cut at 80 and 95 per cent of the yearly value; figures worked by hand.

    In line, before each part stand 0, 45, 75, 87, 93, 96 and 99 per cent of the 10,000: a part that crosses
    a line still belongs to the class that it leaves.
    """
    assert abc([300, 4500, 600, 3000, 100, 1200, 300]).tolist() == ["B", "A", "B", "A", "C", "A", "C"]
