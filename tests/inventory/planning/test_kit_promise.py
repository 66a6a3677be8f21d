"""The promise day of whole kits, against a calendar gone through day by day and changes tried one by one."""

from collections.abc import Callable, Mapping, Sequence
from datetime import date, datetime, timedelta
from fractions import Fraction
from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.planning import (
    Arrival,
    Filling,
    KitPromise,
    PlanningError,
    Rush,
    Slot,
    Sooner,
    Supply,
    Swap,
    Taking,
    WorkDays,
    available,
    pieces,
    promise_day,
    sooner,
)

TODAY = date(2026, 3, 9)  # A Monday.
TOMORROW = TODAY + timedelta(days=1)
CALENDAR = [TODAY + timedelta(days=number) for number in range(400)]
PARTS = ("belt", "hub", "nut")


def on(number: int) -> date:
    return TODAY + timedelta(days=number)


WEEK = WorkDays((480, 480, 480, 480, 240, 0, 0), frozenset({on(2)}), {TODAY: 400, on(1): 600})

days = st.integers(0, 12).map(on)
few = st.integers(0, 4)
supplies_of_one = st.builds(
    Supply,
    few,
    st.lists(st.builds(Taking, days, few), max_size=2),
    st.lists(st.builds(Arrival, days, few, st.integers(0, 3)), max_size=2),
    st.none() | st.integers(1, 12).map(on),
)
supplies = st.fixed_dictionaries(dict.fromkeys(PARTS, supplies_of_one))
fillings = st.builds(
    Filling,
    st.dictionaries(st.sampled_from(PARTS), st.integers(1, 3), max_size=2),
    st.integers(0, 700),
)
kits_of_slots = st.lists(
    st.tuples(st.lists(fillings, min_size=1, max_size=2), st.integers(1, 2)), max_size=3
).map(lambda slots: [Slot(f"slot {n}", listed, times) for n, (listed, times) in enumerate(slots)])


def by_calendar(slots: Sequence[Slot], stock: Mapping[str, Supply], minutes: int) -> date | None:
    """Wait until each part could be promised or had anew, then work the minutes off."""
    wants = {part: sum(slot.times * slot.fillings[0].pieces.get(part, 0) for slot in slots) for part in PARTS}
    steps = {part: one.available(TODAY) for part, one in stock.items()}
    left = minutes + sum(slot.times * slot.fillings[0].minutes for slot in slots)
    begun = False
    for day in CALENDAR:
        begun = begun or all(
            steps[part].at(day) >= wanted or (stock[part].anew or date.max) <= day
            for part, wanted in wants.items()
        )
        if begun:
            left -= min(left, WEEK.free(day))
            if not left:
                return day
    return None


@given(kits_of_slots, supplies, st.integers(0, 1500))
def test_a_kit_ships_when_its_last_part_is_here_and_the_work_is_done(
    slots: list[Slot], stock: dict[str, Supply], minutes: int
) -> None:
    promise = promise_day(slots, stock, TODAY, work=WEEK, minutes=minutes)
    assert promise.on == by_calendar(slots, stock, minutes)


@given(kits_of_slots, supplies, st.integers(1, 3))
def test_so_many_kits_want_so_many_times_the_parts_and_the_work(
    slots: list[Slot], stock: dict[str, Supply], kits: int
) -> None:
    one_big = [Slot(slot.name, slot.fillings, slot.times * kits) for slot in slots]
    together = promise_day(slots, stock, TODAY, work=WEEK, minutes=30, kits=kits)
    assert together == promise_day(one_big, stock, TODAY, work=WEEK, minutes=30 * kits)


@given(kits_of_slots, supplies)
def test_what_is_to_be_ordered_is_the_fewest_that_make_the_day_true(
    slots: list[Slot], stock: dict[str, Supply]
) -> None:
    for line in promise_day(slots, stock, TODAY, work=WEEK).parts:
        one = stock[line.part]
        if line.on is None:
            continue
        for ordered in (line.to_order, line.to_order - 1)[: 2 if line.to_order else 1]:
            coming = [*one.arrivals, Arrival(line.on, ordered)]
            enough = available(one.on_hand, one.takings, coming, TODAY).at(line.on) >= line.wanted
            assert enough == (ordered == line.to_order)


@given(kits_of_slots, supplies)
def test_it_waits_for_the_parts_without_which_it_would_ship_before(
    slots: list[Slot], stock: dict[str, Supply]
) -> None:
    promise = promise_day(slots, stock, TODAY, work=WEEK)
    plenty = {part: Supply(1000) for part in promise.waits_for}
    without = promise_day(slots, {**stock, **plenty}, TODAY, work=WEEK)
    if promise.parts_on is None or promise.parts_on == TODAY:
        assert without.parts_on is not None
        assert bool(promise.waits_for) == (promise.parts_on is None)
    else:
        assert without.parts_on is not None and without.parts_on < promise.parts_on


def brought(one: Supply, place: int, day: date) -> Supply:
    arrivals = [
        Arrival(min(day, a.expected(TODAY)), a.quantity) if n == place else a
        for n, a in enumerate(one.arrivals)
    ]
    return Supply(one.on_hand, one.takings, arrivals, one.anew)


def day_with(slots: Sequence[Slot], stock: Mapping[str, Supply], changes: object, comes: date) -> date | None:
    """The promise after the changes, made by hand."""
    assert isinstance(changes, tuple)
    after, chosen = dict(stock), list(slots)
    for change in changes:
        if isinstance(change, Rush):
            after[change.part] = brought(after[change.part], change.place, comes)
        else:
            chosen = [
                Slot(s.name, [s.fillings[change.filling]], s.times) if s.name == change.slot else s
                for s in chosen
            ]
    return promise_day(chosen, after, TODAY, work=WEEK).on


@settings(max_examples=60)
@given(kits_of_slots, supplies)
def test_sooner_is_each_set_of_changes_that_beats_all_smaller_ones(
    slots: list[Slot], stock: dict[str, Supply]
) -> None:
    rushes = [
        Rush(part, place, arrival.line)
        for part in PARTS
        for place, arrival in enumerate(stock[part].arrivals)
        if any(part in filling.pieces for slot in slots for filling in slot.fillings)
    ]
    changes = [*rushes, *(Swap(slot.name, n) for slot in slots for n in range(1, len(slot.fillings)))]
    never = on(9999)
    found = {
        chosen: day_with(slots, stock, chosen, TOMORROW) or never
        for size in range(3)
        for chosen in combinations(changes, size)
    }
    expected = {
        frozenset(chosen): day
        for chosen, day in found.items()
        if chosen and day < min(found[less] for n in range(len(chosen)) for less in combinations(chosen, n))
    }
    told = sooner(slots, stock, TODAY, rushed_to=TOMORROW, together=2, work=WEEK)
    assert {frozenset(one.changes): one.on for one in told} == expected
    assert [one.on for one in told] == sorted(one.on for one in told)
    now = found[()]
    assert all(one.days == (None if now == never else (now - one.on).days) for one in told)


@given(kits_of_slots, supplies)
def test_a_rushed_delivery_may_come_as_late_as_told_and_no_later(
    slots: list[Slot], stock: dict[str, Supply]
) -> None:
    for one in sooner(slots, stock, TODAY, rushed_to=TOMORROW, together=2, work=WEEK):
        if one.by is None:
            assert not any(isinstance(change, Rush) for change in one.changes)
            continue
        assert day_with(slots, stock, one.changes, one.by) == one.on
        assert day_with(slots, stock, one.changes, one.by + timedelta(days=1)) != one.on


def test_the_figures_of_an_example() -> None:
    """Two belts are here; the hub is due on Thursday, with two days of safety; nuts stand in, with work."""
    slots = [
        Slot("drive", [Filling({"belt": 1})], times=2),
        Slot("front", [Filling({"hub": 1}), Filling({"nut": pieces(2, Fraction(4, 3))}, minutes=100)]),
    ]
    stock = {
        "belt": Supply(2),
        "hub": Supply(1, [Taking(on(2), 1)], [Arrival(on(3), 5, 2, "B00017")]),
        "nut": Supply(3),
    }
    promise = promise_day(slots, stock, TODAY, work=WEEK)
    assert (promise.on, promise.parts_on, promise.waits_for) == (on(5), on(5), ("hub",))
    told = sooner(slots, stock, TODAY, rushed_to=TOMORROW, work=WEEK)
    # Were the others here by Wednesday, the hub that is kept for then could go today.
    # 80 minutes are left today, none tomorrow and on Wednesday, so 100 minutes are done on Thursday.
    assert told == (
        Sooner((Rush("hub", 0, "B00017"),), TODAY, 5, on(2)),
        Sooner((Swap("front", 1),), on(3), 2, None),
    )


def test_a_kit_of_nothing_ships_today() -> None:
    assert promise_day([], {}, TODAY) == KitPromise(TODAY, TODAY, ())


def test_a_part_that_nobody_has_or_sells_has_no_day() -> None:
    promise = promise_day([Slot("front", [Filling({"hub": 1})])], {"hub": Supply()}, TODAY)
    assert (promise.on, promise.waits_for) == (None, ("hub",))


@given(st.integers(1, 200), st.integers(1, 60), st.integers(1, 60))
def test_pieces_at_a_ratio_are_the_fewest_whole_ones(quantity: int, top: int, bottom: int) -> None:
    counted = next(n for n in range(quantity * top + 1) if n * bottom >= quantity * top)
    assert pieces(quantity, Fraction(top, bottom)) == counted


HUB = [Slot("front", [Filling({"hub": 1})])]
NOON = datetime(2026, 3, 9, 12)  # noqa: DTZ001  # Not a day, whatever its zone.


@pytest.mark.parametrize(
    "nonsense",
    [
        lambda: promise_day(HUB, {}, TODAY),
        lambda: promise_day(HUB, {"hub": Supply(-1)}, TODAY),
        lambda: promise_day(HUB, {"hub": Supply(anew=on(-1))}, TODAY),
        lambda: promise_day(HUB, {"hub": Supply(anew=NOON)}, TODAY),
        lambda: promise_day(HUB, {"hub": Supply(1)}, NOON),
        lambda: promise_day([], {}, NOON),
        lambda: promise_day(HUB, {"hub": Supply(1)}, TODAY, kits=0),
        lambda: promise_day(HUB, {"hub": Supply(1)}, TODAY, minutes=-1),
        lambda: promise_day(HUB, {"hub": Supply(1)}, TODAY, minutes=1),
        lambda: promise_day(HUB, {"hub": Supply(1)}, TODAY, minutes=1, work=WorkDays((0,) * 7)),
        lambda: sooner(HUB, {"hub": Supply(1)}, TODAY, rushed_to=on(-1)),
        lambda: sooner(HUB, {"hub": Supply(1)}, TODAY, rushed_to=TODAY, together=0),
        lambda: sooner(HUB + HUB, {"hub": Supply(1)}, TODAY, rushed_to=TODAY),
        lambda: sooner(HUB, {}, TODAY, rushed_to=TODAY),
        lambda: WorkDays((480,) * 5),
        lambda: WorkDays((-1,) * 7),
        lambda: WorkDays((8.0,) * 7),  # type: ignore[arg-type]  # what the test is about
        lambda: WorkDays((480,) * 7, frozenset({NOON})),
        lambda: WorkDays((480,) * 7, booked={TODAY: -1}),
        lambda: WEEK.done(TODAY, -1),
        lambda: WEEK.done(NOON, 1),
        lambda: WEEK.done(date.max, 5000),
        lambda: Filling({"hub": 0}),
        lambda: Filling({"hub": 1}, minutes=-1),
        lambda: Slot("front", []),
        lambda: Slot("front", [Filling({"hub": 1})], times=0),
        lambda: pieces(-1, Fraction(1)),
        lambda: pieces(1, Fraction(0)),
        lambda: pieces(1, 1.5),  # type: ignore[arg-type]  # as above
    ],
)
def test_nonsense_is_refused(nonsense: Callable[[], object]) -> None:
    with pytest.raises(PlanningError):
        nonsense()
