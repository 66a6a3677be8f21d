"""Available-to-promise and whole kits from stock, against sections 7 and 11 of the checks.

The methods are published, the numbers are our own: worked out by closed form, by exhaustive search, and
with SciPy's milp and maximum_flow and OR-Tools' SimpleMaxFlow.
"""

from datetime import date, timedelta
from itertools import accumulate
from typing import NamedTuple

import pytest

from inventory.planning import (
    Arrival,
    Filling,
    Slot,
    Taking,
    Template,
    available,
    discrete,
    looked_back,
    many_available,
    most_kits,
    most_of_each,
)

MONDAY = date(2026, 3, 2)


class Ledger(NamedTuple):
    """One column per week. `lots` are the discrete quantities where there is a lot, else None."""

    on_hand: int
    receipts: list[int]
    booked: list[int]
    lots: list[int | None]
    after_looking_back: list[int | None]
    cumulative: list[int]


# Source: discrete ATP as in Vollmann, Berry, Whybark & Jacobs, Manufacturing Planning and Control, chapter on
# master scheduling, and the APICS/ASCM dictionary. Basis: own numbers; only the method is published.
PERIODS = [
    # K07-V01, a lot every third week.
    Ledger(
        20,
        [0, 30, 0, 0, 30, 0, 0, 30],
        [5, 8, 4, 6, 10, 2, 0, 3],
        [15, 12, None, None, 18, None, None, 27],
        [15, 12, None, None, 18, None, None, 27],
        [15, 27, 27, 27, 45, 45, 45, 72],
    ),
    # K07-V02, a later week over-booked: the lot before it gives.
    Ledger(
        15,
        [0, 20, 0, 20, 0, 20],
        [4, 6, 5, 24, 3, 1],
        [11, 9, None, -7, None, 19],
        [11, 2, None, 0, None, 19],
        [11, 13, 13, 13, 13, 32],
    ),
    # K07-V03, nothing but stock.
    Ledger(12, [0, 0, 0, 0], [3, 0, 4, 0], [5, None, None, None], [5, None, None, None], [5, 5, 5, 5]),
]


def week(number: int) -> date:
    return MONDAY + timedelta(weeks=number)


def movements(case: Ledger) -> tuple[int, list[Taking], list[Arrival], date]:
    takings = [Taking(week(number), quantity) for number, quantity in enumerate(case.booked)]
    arrivals = [Arrival(week(number), quantity) for number, quantity in enumerate(case.receipts)]
    return case.on_hand, takings, arrivals, MONDAY


def by_week(lots: list[int | None]) -> tuple[tuple[date, int], ...]:
    return tuple((week(number), quantity) for number, quantity in enumerate(lots) if quantity is not None)


@pytest.mark.parametrize("case", PERIODS)
def test_each_lot_is_what_nobody_takes_before_the_next(case: Ledger) -> None:
    assert discrete(*movements(case)) == by_week(case.lots)


@pytest.mark.parametrize("case", PERIODS)
def test_an_over_booked_lot_takes_from_those_before_it(case: Ledger) -> None:
    lots = looked_back(discrete(*movements(case)))
    assert lots == by_week(case.after_looking_back)
    assert list(accumulate(quantity for _, quantity in lots))[-1] == case.cumulative[-1]


@pytest.mark.parametrize("case", PERIODS)
def test_the_cumulative_limit_of_each_week(case: Ledger) -> None:
    steps = available(*movements(case))
    assert [steps.at(week(number)) for number in range(len(case.booked))] == case.cumulative
    firsts = [case.cumulative.index(quantity) for quantity in case.cumulative]
    assert [steps.first_day(quantity) for quantity in case.cumulative] == [week(first) for first in firsts]
    assert steps.first_day(case.cumulative[-1] + 1) is None


def test_the_same_limits_for_all_parts_at_once() -> None:
    cases = dict(enumerate(PERIODS))
    many = many_available(
        {part: case.on_hand for part, case in cases.items()},
        [(part, week(n), q) for part, case in cases.items() for n, q in enumerate(case.booked)],
        [(part, week(n), q, 0) for part, case in cases.items() for n, q in enumerate(case.receipts)],
        MONDAY,
    )
    for part, case in cases.items():
        assert [many.at(week(n))[part] for n in range(len(case.booked))] == case.cumulative


def slots(*listed: tuple[int, str]) -> list[Slot]:
    """Slots as (times, 'part part ...'), one piece of any of these parts each time, mixed or not."""
    return [
        Slot(f"slot {number}", [Filling({part: 1}) for part in parts.split()], times)
        for number, (times, parts) in enumerate(listed)
    ]


# Source: maximum flow is minimum cut (Ford & Fulkerson 1956): k kits are possible when a bipartite flow is.
# Basis: own numbers; only the method is published. The last figure is what a picker builds who takes the
# first acceptable part of each slot.
SHELVES: list[tuple[dict[str, int], list[Slot], int, int]] = [
    # K11-V01, a substitute shared by two slots.
    ({"A": 3, "B": 4, "C": 5}, slots((1, "B A"), (1, "C B")), 6, 5),
    # K11-V02, the first slot must not take P.
    ({"P": 2, "Q": 2, "R": 2}, slots((1, "P Q"), (1, "P")), 2, 1),
    # K11-V03, bolts in multiples, with a higher class that may stand in.
    (
        {"bolt88": 20, "bolt109": 14, "mountL": 5, "mountR": 4, "mountU": 3},
        slots((6, "bolt88 bolt109"), (1, "mountL mountU"), (1, "mountR mountU")),
        5,
        5,
    ),
    # K11-V04, a chain of three substitutions.
    ({"a": 1, "b": 3, "c": 2, "d": 4}, slots((1, "a b"), (1, "b c"), (1, "c d")), 3, 2),
    # K11-V05, none of the only acceptable part.
    ({"x": 9, "y": 0}, slots((1, "x"), (1, "y")), 0, 0),
]


def greedily(stock: dict[str, int], kit: list[Slot]) -> int:
    """Kits of a picker who takes the first part on the list that is there."""
    left, built = dict(stock), 0
    while True:
        for slot in kit:
            for _ in range(slot.times):
                listed = [str(part) for filling in slot.fillings for part in filling.pieces]
                there = next((part for part in listed if left[part]), None)
                if there is None:
                    return built
                left[there] -= 1
        built += 1


@pytest.mark.parametrize(("stock", "kit", "most", "greedy"), SHELVES)
def test_the_most_kits_where_a_greedy_picker_builds_fewer(
    stock: dict[str, int], kit: list[Slot], most: int, greedy: int
) -> None:
    assert most_kits(stock, [Template("kit", kit)]).total == most
    assert greedily(stock, kit) == greedy


# K11-V06, two kits from shared stock. Source: maximum flow and a condition of Hall's kind. Own numbers.
SHARED = {"a": 6, "b": 5, "c": 4}
KIT_1, KIT_2 = slots((1, "a"), (1, "b")), slots((1, "a b"), (2, "c"))


def test_two_kits_that_compete_for_the_same_parts() -> None:
    best = {
        tuple(most_kits(SHARED, order).kits[name] for name in ("kit 1", "kit 2"))
        for order in (
            [Template("kit 1", KIT_1), Template("kit 2", KIT_2)],
            [Template("kit 2", KIT_2), Template("kit 1", KIT_1)],
        )
    }
    assert best == {(4, 2), (5, 1)}
    assert most_of_each(SHARED, [Template("kit 1", KIT_1), Template("kit 2", KIT_2)]) == {
        "kit 1": 5,
        "kit 2": 2,
    }


@pytest.mark.parametrize(("first", "second"), [(0, 2), (1, 2), (2, 2), (3, 2), (4, 2), (5, 1)])
def test_the_most_of_the_second_kit_for_each_number_of_the_first(first: int, second: int) -> None:
    # A first kit is worth more than all second ones together, and there are to be just so many.
    plan = most_kits(SHARED, [Template("kit 1", KIT_1, worth=100, most=first), Template("kit 2", KIT_2)])
    assert plan.kits == {"kit 1": first, "kit 2": second}


def test_the_cheapest_lots_for_three_kits() -> None:
    """K11-V07, an assignment problem (Kuhn 1955): as templates of which one lot each is to be used."""
    costs = [[4, 1, 3], [2, 0, 5], [3, 2, 2]]
    plan = most_kits(
        {f"kit {k}": 1 for k in range(3)} | {f"lot {j}": 1 for j in range(3)},
        [
            Template(
                f"{k} from {j}",
                [Slot("kit", [Filling({f"kit {k}": 1})]), Slot("lot", [Filling({f"lot {j}": 1})])],
                worth=100 - cost,
            )
            for k, row in enumerate(costs)
            for j, cost in enumerate(row)
        ],
    )
    assert plan.worth == 300 - 5
    assert [name for name, built in plan.kits.items() if built] == ["0 from 1", "1 from 0", "2 from 2"]
