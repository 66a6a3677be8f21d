"""Lengths of S-shaped walks through one block of aisles.

Source of the rule: Hall, IIE Transactions 25 (1993), and Roodbergen & De Koster 2001 (S-shape); setting
as in Ratliff & Rosenthal, Operations Research 31 (1983) 507-521. Both from memory. One block, aisles
numbered 0.. from the left, front cross-aisle at 0, back at the aisle's length, aisle width ignored, the
walk starts and ends at the front of the depot aisle; aisles with picks left to right, each fully
traversed, a last aisle entered from the front is a return trip to the farthest pick.

The published part is the method: the numbers are our own. The S-shape lengths were computed by an
independent closed form; the optimal lengths, which no S-shape can beat, by an exact tour (Held-Karp) and
a dynamic programme, which agree.
"""

import pytest

from inventory.routing import walk_length

# (picks as (aisle, mm from the front), step mm, length mm, depot aisle, S-shape mm, optimal mm)
CASES = {
    "three aisles, the last entered from the front": (
        [(0, 5000), (0, 14000), (2, 8000), (3, 3000), (3, 17000)],
        3000,
        20000,
        0,
        92000,
        74000,
    ),
    "two aisles": ([(0, 4000), (2, 2000), (2, 11000)], 4000, 15000, 0, 46000, 46000),
    "depot in the middle": (
        [(0, 6000), (1, 16000), (2, 3000), (4, 9000), (4, 12000)],
        2500,
        18000,
        2,
        92000,
        66000,
    ),
    "one pick": ([(2, 7000)], 3000, 20000, 0, 26000, 26000),
    "all aisles sparse, ends picked": (
        [(0, 2000), (1, 22000), (2, 3000), (2, 21000), (3, 20000), (4, 5000)],
        3000,
        24000,
        0,
        130000,
        94000,
    ),
}


@pytest.mark.parametrize("case", CASES.values(), ids=CASES.keys())
def test_the_s_shaped_walk_is_as_long_as_published(
    case: tuple[list[tuple[int, int]], int, int, int, int, int],
) -> None:
    picks, step, length, depot, s_shape, optimal = case
    assert walk_length(picks, step=step, length=length, depot=depot) == s_shape >= optimal
