"""The whole kits of the belt pump, against every kit there is, judged and priced one by one."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import pytest
from django.utils import timezone

from inventory.models import Offer, Stock, Supplier
from kits import costed
from kits.compiling import keeping
from kits.conversion import OWN
from kits.customising import open_kit, swap, swap_together
from kits.models import CustomKit, Rule
from kits.solver import OutOfTime
from kits.whole_kits import State, Swaps, WayOut, WholeKits
from tests.clerks import Clerk
from tests.kits import builders
from tests.kits.every_kit import Every

pytestmark = [pytest.mark.django_db, pytest.mark.main_job]


def agrees(kit: CustomKit) -> dict[State, int]:
    """Every candidate of every slot: what WholeKits says, against all kits; how many of each state."""
    now = timezone.now()
    every, told = Every(kit, now), WholeKits(kit, now)
    seen: dict[State, int] = {}
    for code, of_slot in told.through().items():
        for key, through in of_slot.items():
            seen[through.state] = seen.get(through.state, 0) + 1
            best = every.with_all({**every.others(code), code: key})
            if not best:
                assert through.state is State.NOT_POSSIBLE, (code, key)
                blocked(every, told, code, key)
                continue
            first = best[0]
            assert through.state is first.state, (code, key)
            assert through.difference == first.price - every.price_now, (code, key)
            assert through.follows == len(first.differs(every.now) - {code}), (code, key)
            cheapest = min(one.price for one in best if one.unsure == first.unsure)
            assert through.cheapest == cheapest - every.price_now, (code, key)
            assert through.ready_on == min((one.ready for one in best if one.ready), default=None)
            holds(every, {**every.others(code), code: key}, told.around(code, key).best)
    return seen


def holds(every: Every, asked: Swaps, way: WayOut | None) -> None:
    """The way out is a best kit with what is asked for: as sure, as few that follow, as cheap, as it is."""
    assert way is not None
    fixed = {**asked, **{one.slot: one.key for one in way.changes}}
    keys = {**every.now, **fixed, **{one.slot: one.key for one in way.follows}}
    best = every.with_all(fixed)[0]
    (made,) = [kit for kit in every.kits if kit.keys == keys]
    assert (made.unsure, len(made.differs(every.now)), made.price) == (
        best.unsure, len(best.differs(every.now)), best.price
    )  # fmt: skip
    assert way.difference == made.price - every.price_now
    assert way.ready_on == made.ready
    assert way.state is made.state


def blocked(every: Every, told: WholeKits, code: str, key: str) -> None:
    """Dropping any one of what is blamed lifts the block; the ways out are the smallest sets of changes."""
    in_the_way = told.around(code, key).in_the_way
    assert in_the_way is not None
    blamed = {one.slot: one.key for one in in_the_way.chosen}
    assert blamed.items() <= every.others(code).items()
    assert not every.with_all({**blamed, code: key})
    for spared in blamed:
        assert every.with_all({**{c: k for c, k in blamed.items() if c != spared}, code: key})
    assert in_the_way.reasons
    smallest = every.smallest_changes(code, key)
    given = [frozenset(one.slot for one in way.changes) for way in in_the_way.ways_out]
    assert len(given) == min(len(smallest), 3) and set(given) <= smallest
    for way in in_the_way.ways_out:
        holds(every, {**every.others(code), code: key}, way)


def chosen(kit: CustomKit, clerk: Clerk, belt: builders.Conversion, **numbers: str) -> CustomKit:
    """The kit with these parts insisted on."""
    swaps = {slot: belt.key(number) for slot, number in numbers.items()}
    return swap_together(clerk("counter"), kit, swaps)


@pytest.fixture
def dated(belt: builders.Conversion) -> None:
    """Most is there; the thin spacer can be bought, and nobody sells the light pulley."""
    for number, part in belt.parts.items():
        if number not in ("CS-22", "CP-120"):
            Stock.objects.create(part=part, on_hand=50)
    supplier = Supplier.objects.create(code="pell", name="Pell Stores", lead_days=9)
    Offer.objects.create(supplier=supplier, part=belt.parts["CS-22"], price=2)


CHOICES: Mapping[str, dict[str, str]] = {
    "nothing": {},
    "a pulley that wants another spacer": {"pulley": "CP-141"},
    "two that go": {"pulley": "CP-104", "spacer": "CS-32"},
    "two that exclude each other": {"pulley": "CP-141", "spacer": "CS-32"},
    "one to be measured": {"pulley": "CP-150"},
    "three, of which two exclude each other": {"pulley": "CP-104", "spacer": "CS-22", "bolt": "CB-30"},
}


@pytest.mark.parametrize("numbers", CHOICES.values(), ids=CHOICES)
def test_every_candidate_is_as_all_kits_together_have_it(
    kit: CustomKit, belt: builders.Conversion, clerk: Clerk, dated: None, numbers: dict[str, str]
) -> None:
    seen = agrees(chosen(kit, clerk, belt, **numbers))
    assert len(seen) > 1


def test_own_sizes_and_rules_count(draft: builders.Conversion, clerk: Clerk) -> None:
    slots = draft.slots
    draft.rule("no-guard", Rule.Kind.CLASHES, {"slot": slots["guard"], "name": "filled", "values": ["parts"]},
               {"slot": slots["bolt"], "name": "part", "values": ["CB35"]})  # fmt: skip
    kit = open_kit(clerk("counter"), draft.released().template, draft.engine)
    swap(clerk("counter"), kit, "pump", OWN, own={"boss": "79.9 mm"})
    kit.refresh_from_db()
    swap(clerk("counter"), kit, "bolt", draft.key("CB-35"))
    assert State.NOT_POSSIBLE in agrees(kit)


def test_nothing_of_the_customers_own_follows(draft: builders.Conversion, clerk: Clerk) -> None:
    """Beside the guard the rule leaves no pump but the customer's own, and that is for them to bring."""
    guard = {"slot": draft.slots["guard"], "name": "filled", "values": ["parts"]}
    pump = {"slot": draft.slots["pump"], "name": "filled", "values": ["parts", "reused"]}
    draft.rule("theirs-alone", Rule.Kind.CLASHES, guard, pump)
    draft.released()
    kit = chosen(open_kit(clerk("counter"), draft.template, draft.engine), clerk, draft, guard="CG-2")
    told = WholeKits(kit, timezone.now())
    assert told.nearest() is None and told.excluding_each_other() is not None
    through = told.through()
    assert through["pump"][OWN].state is State.MEASURE_FIRST
    assert through["bolt"][draft.key("CB-30")].state is State.NOT_POSSIBLE
    assert agrees(kit)[State.NOT_POSSIBLE] > 0


def test_what_excludes_each_other_is_said_with_the_ways_out(
    kit: CustomKit, belt: builders.Conversion, clerk: Clerk
) -> None:
    told = WholeKits(chosen(kit, clerk, belt, pulley="CP-141", spacer="CS-32", guard="CG-2"), timezone.now())
    clash = told.excluding_each_other()
    assert told.nearest() is None and clash is not None
    assert {one.slot for one in clash.chosen} == {"pulley", "spacer"}
    assert clash.reasons == ("belt-plane",)
    assert {frozenset(one.slot for one in way.changes) for way in clash.ways_out} == {
        frozenset({"spacer"}), frozenset({"pulley"})
    }  # fmt: skip


def test_what_is_in_the_way_of_all_the_shops_own_parts_is_asked_of_one_network(
    kit: CustomKit, belt: builders.Conversion, clerk: Clerk, monkeypatch: pytest.MonkeyPatch
) -> None:
    told = WholeKits(chosen(kit, clerk, belt, pulley="CP-141", spacer="CS-32", guard="CG-2"), timezone.now())
    through = told.through()
    asked = []

    def counted(*args: Any, **named: Any) -> keeping.Kept:
        asked.append(keeping.facts_of(*args))
        return keeping.kept_for(*args, **named)

    monkeypatch.setattr(costed, "kept_for", counted)
    blocked = [
        (code, key)
        for code, of_slot in through.items()
        for key, one in of_slot.items()
        if one.state is State.NOT_POSSIBLE and key != OWN
    ]
    assert len({code for code, _ in blocked}) > 1
    for code, key in blocked:
        assert told.in_the_way(code, key).reasons
    assert len(asked) == len(blocked) and len(set(asked)) == 1


def test_choices_that_go_exclude_nothing(kit: CustomKit, belt: builders.Conversion, clerk: Clerk) -> None:
    told = WholeKits(chosen(kit, clerk, belt, pulley="CP-141"), timezone.now())
    nearest = told.nearest()
    assert told.excluding_each_other() is None and nearest is not None
    assert [(one.slot, one.short, one.agreement) for one in nearest.follows] == [
        ("spacer", "CS-22", "nobody")
    ]


def test_past_the_time_limit_it_is_said_that_it_is_not_yet_known(
    kit: CustomKit, belt: builders.Conversion, monkeypatch: pytest.MonkeyPatch
) -> None:
    class Slow:
        """A solver that is never certain in time."""

        def __getattr__(self, name: str) -> object:
            def asked(*_args: object, **_named: object) -> object:
                raise OutOfTime

            return asked

    told = WholeKits(kit, timezone.now())
    costs = told.kept.costs
    monkeypatch.setattr(told, "kept", keeping.Kept(Slow(), costs, {}))  # type: ignore[arg-type]  # it only fails
    assert {one.state for of in told.through().values() for one in of.values()} == {State.NOT_YET_KNOWN}
    assert told.around("pulley", belt.key("CP-141")).state is State.NOT_YET_KNOWN
    assert told.nearest() is None


def test_a_kit_that_nobody_can_deliver_has_no_date(kit: CustomKit, belt: builders.Conversion) -> None:
    told = WholeKits(kit, timezone.now())
    assert {one.ready_on for one in told.through()["guard"].values()} == {None}
    for part in belt.parts.values():
        Stock.objects.create(part=part, on_hand=50)
    told = WholeKits(kit, timezone.now())
    assert {one.ready_on for one in told.through()["guard"].values()} == {timezone.localdate()}
