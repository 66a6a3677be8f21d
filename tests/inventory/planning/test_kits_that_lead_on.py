"""Fillings that lead to slots of their own, against whole kits listed one by one."""

from itertools import product

from hypothesis import given
from hypothesis import strategies as st

from inventory.planning import Filling, Slot, Template, bottlenecks, missing_for, most_kits
from tests.inventory.planning.building import PARTS, fillings, stocks

few = st.dictionaries(st.sampled_from(PARTS), st.integers(1, 2), max_size=1)
of_its_own = st.lists(fillings, min_size=1, max_size=2)


@given(stocks, st.lists(st.tuples(few, of_its_own), min_size=1, max_size=3), of_its_own)
def test_slots_of_a_fillings_own_count_like_whole_kits_one_by_one(
    stock: dict[str, int], pumps: list[tuple[dict[str, int], list[Filling]]], shared: list[Filling]
) -> None:
    """Each pump leads to a slot of its own and to one that all of them share."""
    slots = [
        Slot("pump", [Filling(pieces, then=(f"own {n}", "shared")) for n, (pieces, _) in enumerate(pumps)]),
        *(Slot(f"own {n}", own) for n, (_, own) in enumerate(pumps)),
        Slot("shared", shared),
    ]
    whole = [
        Filling({p: n for p in PARTS if (n := sum(one.get(p, 0) for one in (pieces, a.pieces, b.pieces)))})
        for pieces, own in pumps
        for a, b in product(own, shared)
    ]
    by_slots, by_kits = [Template("kit", slots)], [Template("kit", [Slot("whole kit", whole)])]
    assert most_kits(stock, by_slots).total == most_kits(stock, by_kits).total
    assert set(bottlenecks(stock, by_slots)) == set(bottlenecks(stock, by_kits))
    now = most_kits(stock, by_kits).total
    assert sum(missing_for(stock, by_slots, {"kit": now + 1}).values()) == sum(
        missing_for(stock, by_kits, {"kit": now + 1}).values()
    )


def test_a_rank_says_what_is_no_stand_in_though_it_is_not_listed_first() -> None:
    ways = [Filling({"hub": 1}, rank=1), Filling({"nut": 1}, rank=0)]
    kits = [Template("kit", [Slot("s", ways)], most=1)]
    assert most_kits({"hub": 1, "nut": 1}, kits).used == {"hub": 0, "nut": 1}
