"""The most kits from stock, against building them one after the other in every possible way."""

from collections.abc import Callable, Sequence
from copy import deepcopy
from decimal import Decimal
from fractions import Fraction
from itertools import product
from operator import mul

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.planning import (
    Bottleneck,
    Filling,
    PlanningError,
    Slot,
    Template,
    bottlenecks,
    kit_programme,
    missing_for,
    most_kits,
    most_of_each,
)
from inventory.planning.kit_programme import Row, Terms, Unproven, in_order, maximise
from tests.inventory.planning.building import (
    PARTS,
    all_plans,
    best,
    splits,
    stocks,
    templates,
    ways,
    worth,
)


@given(stocks, templates())
def test_the_plan_is_the_worthiest_and_of_those_the_one_with_most_of_the_first(
    stock: dict[str, int], kits: list[Template]
) -> None:
    plan = most_kits(stock, kits)
    assert tuple(plan.kits.values()) == max(all_plans(stock, kits), key=lambda one: (worth(one, kits), one))
    assert plan.worth == best(stock, kits)


@given(stocks, templates())
def test_the_fillings_of_a_plan_fill_its_slots_from_the_stock(
    stock: dict[str, int], kits: list[Template]
) -> None:
    plan = most_kits(stock, kits)
    used = dict.fromkeys(PARTS, 0)
    for kit in kits:
        for slot in kit.slots:
            times = plan.fillings[kit.name, slot.name]
            assert sum(times) == slot.times * plan.kits[kit.name]
            for number, filling in zip(times, slot.fillings, strict=True):
                for part, quantity in filling.pieces.items():
                    used[str(part)] += number * quantity
    assert {part: quantity for part, quantity in used.items() if part in plan.used} == plan.used
    assert all(used[part] <= stock[part] for part in PARTS)


@given(stocks, templates())
def test_of_all_ways_to_fill_the_slots_it_has_fewest_stand_ins_and_has_them_in_the_slots_listed_last(
    stock: dict[str, int], kits: list[Template]
) -> None:
    plan = most_kits(stock, kits)
    listed = [(kit, slot) for kit in kits for slot in kit.slots]
    fair = []
    for chosen in product(
        *(splits(slot.times * plan.kits[kit.name], len(slot.fillings)) for kit, slot in listed)
    ):
        used = dict.fromkeys(PARTS, 0)
        for (_, slot), times in zip(listed, chosen, strict=True):
            for number, filling in zip(times, slot.fillings, strict=True):
                for part, quantity in filling.pieces.items():
                    used[str(part)] += number * quantity
        if all(used[part] <= stock[part] for part in PARTS):
            fair.append(stand_ins_of(chosen))
    assert stand_ins_of(tuple(plan.fillings.values())) == max(fair)


def stand_ins_of(chosen: tuple[tuple[int, ...], ...]) -> tuple[int, int]:
    """How few stand-ins, and then how late in the list: more is better."""
    each = [sum(place * number for place, number in enumerate(times)) for times in chosen]
    return -sum(each), sum(slot * count for slot, count in enumerate(each))


triples = st.lists(st.integers(-3, 3), min_size=3, max_size=3)


@settings(max_examples=40, deadline=None)
@given(st.lists(triples, min_size=1, max_size=4), triples.map(lambda one: [abs(n) for n in one]), triples)
def test_objectives_in_order_are_the_best_of_all_answers(
    factors: list[list[int]], upper: list[int], limit: list[int]
) -> None:
    """All at once, and one after the other where the solver cannot prove several at once."""
    objectives = [dict(enumerate(one)) for one in factors]
    rows = [Row(dict(enumerate(limit)), most=4)]
    answers = [
        [sum(map(mul, one, values)) for one in factors]
        for values in product(*(range(most + 1) for most in upper))
        if sum(map(mul, limit, values)) <= 4
    ]

    def only_one(objective: Terms, rows: Sequence[Row], upper: Sequence[int]) -> list[int] | None:
        if objective not in objectives:
            raise Unproven("Several at once.")
        return maximise(objective, rows, upper)

    with pytest.MonkeyPatch.context() as patch:
        for ask in (maximise, only_one):
            patch.setattr(kit_programme, "maximise", ask)
            found = in_order(objectives, rows, upper)
            assert found is not None
            assert [sum(map(mul, one, found)) for one in factors] == max(answers)


@given(stocks, templates())
def test_the_most_of_each_is_that_of_shelves_for_it_alone(
    stock: dict[str, int], kits: list[Template]
) -> None:
    alone = {kit.name: max(plan[0] for plan in all_plans(stock, [kit])) for kit in kits}
    assert most_of_each(stock, kits) == alone


@settings(max_examples=40, deadline=None)
@given(stocks, templates())
def test_a_bottleneck_is_a_part_of_which_the_fewest_more_gain_so_much(
    stock: dict[str, int], kits: list[Template]
) -> None:
    told = {one.part: one for one in bottlenecks(stock, kits)}
    now = best(stock, kits)
    for part in PARTS:
        gains = [best(stock | {part: stock[part] + more}, kits) - now for more in range(1, 9)]
        first = next((number for number, gain in enumerate(gains) if gain), None)
        if first is not None:
            assert told[part] == Bottleneck(part, first + 1, gains[first])
        elif part in told:
            assert told[part].pieces > len(gains)


@given(stocks, templates(), st.integers(0, 2), st.integers(0, 2))
def test_what_is_missing_is_the_fewest_pieces_that_make_the_kits(
    stock: dict[str, int], kits: list[Template], first: int, second: int
) -> None:
    wanted = {kit.name: number for kit, number in zip(kits, (first, second), strict=False)}
    each = [take for kit in kits for take in [sorted(set(ways(kit)))] * wanted[kit.name]]
    short = [
        sum(
            max(0, sum(column) - stock[part])
            for part, column in zip(PARTS, zip(*takes, strict=True), strict=True)
        )
        for takes in product(*each)
        if takes
    ]
    missing = missing_for(stock, kits, wanted)
    assert sum(missing.values()) == min(short, default=0)
    fuller = {part: stock[part] + missing.get(part, 0) for part in PARTS}
    unlimited = [Template(kit.name, kit.slots) for kit in kits]
    assert tuple(wanted.values()) in all_plans(fuller, unlimited)


@given(stocks, templates(), st.sampled_from(PARTS))
def test_more_stock_never_gives_less(stock: dict[str, int], kits: list[Template], part: str) -> None:
    assert most_kits(stock | {part: stock[part] + 1}, kits).worth >= most_kits(stock, kits).worth


@given(stocks, templates())
def test_nothing_given_is_changed_and_the_order_of_the_shelf_is_all_the_same(
    stock: dict[str, int], kits: list[Template]
) -> None:
    before = deepcopy((stock, kits))
    assert most_kits(stock, kits) == most_kits(dict(reversed(stock.items())), kits)
    assert (stock, kits) == before


def kit(name: str, *listed: str) -> Template:
    """A kit of slots 'part part ...', one piece of any of them."""
    return Template(
        name,
        [Slot(f"slot {n}", [Filling({p: 1}) for p in parts.split()]) for n, parts in enumerate(listed)],
    )


def test_bolts_of_one_make_are_not_mixed_unless_the_slot_says_so() -> None:
    stock = {"plain bolt": 8, "strong bolt": 8}
    both = ("plain bolt", "strong bolt")
    of_one_make = Template("kit", [Slot("bolts", [Filling({bolt: 5}) for bolt in both])])
    mixed = Template("kit", [Slot("bolts", [Filling({bolt: 1}) for bolt in both], times=5)])
    assert most_kits(stock, [of_one_make]).total == 2
    assert most_kits(stock, [mixed]).total == 3


def test_a_stand_in_at_two_for_one_is_used_only_where_it_must_be() -> None:
    plan = most_kits(
        {"plate": 3, "thin plate": 7},
        [Template("kit", [Slot("s", [Filling({"plate": 1}), Filling({"thin plate": 2})])])],
    )
    assert (plan.total, plan.fillings["kit", "s"]) == (6, (3, 3))


def test_the_kit_that_uses_the_most_wanted_part_least_comes_first_unless_it_is_worth_less() -> None:
    """Each pump kit takes two hubs, each drive kit one: greedily by name there would be 2 kits, not 4."""
    pump = Template("pump", [Slot("s", [Filling({"hub": 2})])])
    drive = kit("drive", "hub")
    assert most_kits({"hub": 4}, [pump, drive]).kits == {"pump": 0, "drive": 4}
    dear = Template("pump", pump.slots, worth=Decimal("2.01"))
    assert most_kits({"hub": 4}, [dear, drive]).kits == {"pump": 2, "drive": 0}
    assert most_kits({"hub": 4}, [dear, drive]).worth == Decimal("4.02")


def test_a_part_used_by_the_pair_is_a_bottleneck_of_pairs() -> None:
    told = bottlenecks(
        {"hub": 3, "nut": 9},
        [Template("kit", [Slot("s", [Filling({"hub": 2})]), Slot("n", [Filling({"nut": 1})])])],
    )
    assert told == (Bottleneck("hub", 1, 1),)
    two_more = bottlenecks({"hub": 2, "nut": 9}, [Template("kit", [Slot("s", [Filling({"hub": 2})])])])
    assert (two_more[0].pieces, two_more[0].each) == (2, Fraction(1, 2))


def test_parts_that_run_out_together_are_told_as_what_one_more_kit_lacks() -> None:
    kits = [kit("kit", "hub", "nut")]
    assert bottlenecks({"hub": 2, "nut": 2}, kits) == ()
    assert missing_for({"hub": 2, "nut": 2}, kits, {"kit": 3}) == {"hub": 1, "nut": 1}


def test_of_equal_slots_the_first_keep_what_is_listed_first() -> None:
    kits = [kit("kit", *["hub nut"] * 5)]
    fillings = most_kits({"hub": 7, "nut": 8}, kits).fillings
    assert list(fillings.values()) == [(3, 0), (3, 0), (1, 2), (0, 3), (0, 3)]


def test_only_the_parts_asked_for_are_tried() -> None:
    kits = [kit("a", "nut"), kit("b", "hub")]
    assert [one.part for one in bottlenecks({"hub": 1}, kits, among={"hub", "belt"})] == ["hub"]


def test_equal_bottlenecks_keep_the_order_of_the_kit() -> None:
    kits = [kit("a", "nut"), kit("b", "hub")]
    assert [one.part for one in bottlenecks({"hub": 1}, kits)] == ["nut", "hub"]


def test_a_slot_that_may_be_left_out_takes_nothing_and_the_number_is_then_given() -> None:
    optional = Template("kit", [Slot("guard", [Filling({"guard": 1}), Filling({})])], most=3)
    assert most_kits({"guard": 2}, [optional]).fillings["kit", "guard"] == (2, 1)


def test_no_templates_no_kits() -> None:
    assert most_kits({"hub": 1}, []).total == 0
    assert bottlenecks({"hub": 1}, []) == ()


def test_large_shelves_are_counted_to_the_piece() -> None:
    kits = [kit("a", "hub nut", "nut"), kit("b", "hub")]
    assert most_kits({"hub": 1_000_001, "nut": 999_999}, kits).total == 1_000_001 + 499_999


def test_a_programme_without_an_answer_has_none() -> None:
    assert maximise({0: 1}, [Row({0: 1}, least=3)], [2]) is None
    assert in_order([{0: 1}], [Row({0: 1}, least=3)], [2]) is None


NUT = kit("a", "nut")


@pytest.mark.parametrize(
    "nonsense",
    [
        lambda: most_kits({"nut": -1}, [NUT]),
        lambda: most_kits({"nut": 1.0}, [NUT]),  # type: ignore[dict-item]  # what the test is about
        lambda: most_kits({"nut": 1}, [NUT, NUT]),
        lambda: most_of_each({"nut": 1}, [NUT, NUT]),
        lambda: most_kits({"nut": 1}, [Template("a", [*NUT.slots, *NUT.slots])]),
        lambda: bottlenecks({"nut": -1}, [NUT]),
        lambda: missing_for({"nut": 1}, [NUT], {"b": 1}),
        lambda: missing_for({"nut": 1}, [NUT], {"a": -1}),
        lambda: Template("a", []),
        lambda: Template("a", [Slot("s", [Filling({})])]),
        lambda: Template("a", NUT.slots, most=-1),
        lambda: Template("a", [Slot("s", [Filling({"nut": 1}, then=("t",))])]),
        lambda: Template("a", [Slot("s", [Filling({}, then=("t",))]), Slot("t", [Filling({})])]),
        lambda: Template("a", NUT.slots, worth=0),
        lambda: Template("a", NUT.slots, worth=Decimal("NaN")),
        lambda: Template("a", NUT.slots, worth=1.5),  # type: ignore[arg-type]  # as above
    ],
)
def test_nonsense_is_refused(nonsense: Callable[[], object]) -> None:
    with pytest.raises(PlanningError):
        nonsense()


def test_quantities_too_large_for_the_solver_are_refused_not_guessed() -> None:
    with pytest.raises(Unproven, match="typed wrong"):
        most_kits({"nut": 1 << 60}, [NUT])
