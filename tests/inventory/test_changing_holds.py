"""A reservation that changes: other wants, another end, another day, other deliveries; and who goes first."""

import random
from collections import Counter
from datetime import timedelta

import pytest
from django.contrib.auth.models import User
from django.utils import timezone

from inventory.acting import ActError, Conflict
from inventory.models import Reservation
from inventory.reserving import (
    Lapsed,
    Short,
    change,
    commit,
    commit_before_holds,
    make_commitment,
    prolong,
    release,
)
from inventory.walking import make_walk
from tests.clerks import Clerk
from tests.inventory.builders import a_part, inbound, put, stock_of, today
from tests.inventory.kept import a_hold, keeps, no_differences, slip, tie_anew

pytestmark = [pytest.mark.django_db, pytest.mark.main_job]


@pytest.fixture
def counter(clerk: Clerk) -> User:
    return clerk("counter")


def test_a_swapped_part_is_free_at_once_and_the_new_one_is_kept(counter: User) -> None:
    ring, seal, cap = put(a_part(), 2), put(a_part(), 2), put(a_part(), 1)
    kept = a_hold(counter, {ring.pk: 2, seal.pk: 1})
    change(counter, kept, {ring.pk: 1, cap.pk: 1})
    assert (stock_of(ring), stock_of(seal), stock_of(cap)) == ((2, 1, 0), (2, 0, 0), (1, 1, 0))
    assert keeps(kept) == {(ring.pk, None): 1, (cap.pk, None): 1}


def test_a_change_that_cannot_be_kept_whole_changes_nothing(counter: User) -> None:
    ring, cap = put(a_part(), 2), put(a_part(), 1)
    kept = a_hold(counter, {ring.pk: 2})
    with pytest.raises(Short) as short:
        change(counter, kept, {ring.pk: 1, cap.pk: 2})
    assert [line["part"] for line in short.value.details["lines"]] == [cap.pk]
    assert keeps(kept) == {(ring.pk, None): 2} and stock_of(ring) == (2, 2, 0)


def test_what_a_change_is_short_of_is_told_with_what_it_keeps_itself(counter: User) -> None:
    ring = put(a_part(), 3)
    kept = a_hold(counter, {ring.pk: 2})
    with pytest.raises(Short, match=r"Nothing was changed, .*: 4 x .* wanted, 3 free") as short:
        change(counter, kept, {ring.pk: 4})
    assert short.value.details["lines"][0]["free"] == 3


def test_a_change_to_more_takes_what_comes_and_to_fewer_gives_that_back_first(counter: User) -> None:
    ring = put(a_part(), 2)
    line = inbound(ring, 3)
    kept = commit(counter, {ring.pk: 1}, reference="S1")
    change(counter, kept, {ring.pk: 4})
    assert keeps(kept) == {(ring.pk, None): 2, (ring.pk, line.pk): 2}
    change(counter, kept, {ring.pk: 3})
    assert keeps(kept) == {(ring.pk, None): 2, (ring.pk, line.pk): 1}
    line.refresh_from_db()
    assert line.reserved == 1


def test_a_hold_that_is_over_is_not_changed(counter: User) -> None:
    ring = put(a_part(), 2)
    kept = a_hold(counter, {ring.pk: 1})
    Reservation.objects.filter(pk=kept.pk).update(until=timezone.now())
    with pytest.raises(Lapsed, match="Commit anew"):
        change(counter, kept, {ring.pk: 2})
    with pytest.raises(Lapsed):
        prolong(counter, kept, until=timezone.now() + timedelta(hours=9))


def test_what_is_being_picked_is_not_changed(counter: User, clerk: Clerk) -> None:
    ring = put(a_part(), 2)
    kept = commit(counter, {ring.pk: 1}, reference="S1")
    make_walk(clerk("floor"), [kept])
    with pytest.raises(Conflict, match="on walk"):
        change(counter, kept, {ring.pk: 2})


@pytest.mark.parametrize("wants", [{}, {1: 0}])
def test_a_change_to_nothing_is_refused(counter: User, wants: dict[int, int]) -> None:
    kept = a_hold(counter, {put(a_part(), 1).pk: 1})
    with pytest.raises(ActError, match="at least one"):
        change(counter, kept, wants)


def test_a_hold_ends_later_or_sooner(counter: User) -> None:
    kept = a_hold(counter, {put(a_part(), 1).pk: 1})
    later, sooner = (timezone.now() + timedelta(hours=hours) for hours in (72, 2))
    assert prolong(counter, kept, until=later).until == later
    assert prolong(counter, kept, until=sooner).until == sooner
    with pytest.raises(ActError, match="future"):
        prolong(counter, kept, until=timezone.now())


def test_a_commitment_has_no_end_to_move(counter: User) -> None:
    kept = commit(counter, {put(a_part(), 1).pk: 1}, reference="S1")
    with pytest.raises(Conflict, match="commitment already"):
        prolong(counter, kept, until=timezone.now() + timedelta(hours=1))


def test_what_is_wanted_later_leaves_the_shelf_to_others(counter: User) -> None:
    ring = put(a_part(), 2)
    early, late = inbound(ring, 2, in_days=5), inbound(ring, 2, in_days=20)
    kept = commit(counter, {ring.pk: 3}, reference="S1", wanted_on=today() + timedelta(days=12))
    assert keeps(kept) == {(ring.pk, early.pk): 2, (ring.pk, None): 1}
    assert keeps(commit(counter, {ring.pk: 2}, reference="S2")) == {(ring.pk, None): 1, (ring.pk, late.pk): 1}


def test_what_is_wanted_today_or_was_yesterday_is_kept_as_at_once(counter: User) -> None:
    ring = put(a_part(), 2)
    inbound(ring, 2)
    for back in (0, 1):
        kept = commit(counter, {ring.pk: 1}, reference="S", wanted_on=today() - timedelta(days=back))
        assert keeps(kept) == {(ring.pk, None): 1}


def test_what_is_kept_here_for_later_makes_room_when_a_delivery_is_in_time_for_it(counter: User) -> None:
    ring = put(a_part(), 1)
    later = commit(counter, {ring.pk: 1}, reference="S1", wanted_on=today() + timedelta(days=20))
    assert keeps(later) == {(ring.pk, None): 1}
    line = inbound(ring, 1, in_days=9)
    now = commit(counter, {ring.pk: 1}, reference="S2")
    assert keeps(now) == {(ring.pk, None): 1} and keeps(later) == {(ring.pk, line.pk): 1}
    assert stock_of(ring) == (1, 0, 1) and no_differences()


def test_what_a_hold_keeps_for_later_makes_room_for_a_changed_order(counter: User) -> None:
    ring, seal = put(a_part(), 1), put(a_part(), 1)
    later = a_hold(counter, {ring.pk: 1}, wanted_on=today() + timedelta(days=20))
    line = inbound(ring, 1, in_days=9)
    order = commit(counter, {seal.pk: 1}, reference="S2")
    change(counter, order, {ring.pk: 1})
    assert keeps(order) == {(ring.pk, None): 1} and keeps(later) == {(ring.pk, line.pk): 1}
    assert stock_of(ring) == (1, 0, 1) and no_differences()


def test_a_hold_gives_way_to_an_order_whole(counter: User) -> None:
    ring, seal = put(a_part(), 2), put(a_part(), 1)
    held = a_hold(counter, {ring.pk: 2, seal.pk: 1})
    kept, gave_way = commit_before_holds(counter, {ring.pk: 1}, reference="S1")
    held.refresh_from_db()
    assert gave_way == [held] and held.state == Reservation.State.GAVE_WAY
    assert (stock_of(ring), stock_of(seal)) == ((2, 0, 1), (1, 0, 0)) and keeps(kept) == {(ring.pk, None): 1}
    with pytest.raises(Conflict, match="gave way to an order"):
        make_commitment(counter, held, reference="S2")


def test_no_hold_gives_way_that_need_not(counter: User) -> None:
    ring, seal = put(a_part(), 5), put(a_part(), 3)
    old = a_hold(counter, {ring.pk: 3}, "Q1")
    other = a_hold(counter, {seal.pk: 1}, "Q2")
    young = a_hold(counter, {ring.pk: 1}, "Q3")
    assert commit_before_holds(counter, {seal.pk: 2}, reference="S0")[1] == []
    assert commit_before_holds(counter, {ring.pk: 2}, reference="S1")[1] == [young]
    assert commit_before_holds(counter, {ring.pk: 3}, reference="S2")[1] == [old]
    assert other.lines.count() == 1 and stock_of(seal) == (3, 1, 2)


def test_an_older_hold_alone_gives_way_where_the_younger_would_not_be_enough(counter: User) -> None:
    ring = put(a_part(), 4)
    old, young = a_hold(counter, {ring.pk: 3}, "Q1"), a_hold(counter, {ring.pk: 1}, "Q2")
    _, gave_way = commit_before_holds(counter, {ring.pk: 3}, reference="S1")
    assert gave_way == [old]
    young.refresh_from_db()
    assert young.state == Reservation.State.KEPT


def test_no_hold_gives_way_in_vain(counter: User) -> None:
    ring = put(a_part(), 2)
    held = a_hold(counter, {ring.pk: 2})
    with pytest.raises(Short):
        commit_before_holds(counter, {ring.pk: 3}, reference="S1")
    held.refresh_from_db()
    assert held.state == Reservation.State.KEPT and stock_of(ring) == (2, 2, 0)


def test_what_waits_for_a_delivery_that_slips_is_tied_to_the_one_that_comes(counter: User) -> None:
    ring = a_part()
    first, second = inbound(ring, 2, in_days=5), inbound(ring, 2, in_days=10)
    early, late = commit(counter, {ring.pk: 2}, reference="S1"), commit(counter, {ring.pk: 1}, reference="S2")
    slip(first, 30)
    assert tie_anew(ring.pk) == [early, late]
    assert keeps(early) == {(ring.pk, second.pk): 2} and keeps(late) == {(ring.pk, first.pk): 1}
    assert tie_anew(ring.pk) == [] and no_differences()


def test_a_commitment_is_tied_before_an_older_hold(counter: User) -> None:
    ring = a_part()
    first, second = inbound(ring, 1, in_days=5), inbound(ring, 1, in_days=10)
    held = a_hold(counter, {ring.pk: 1})
    ordered = commit(counter, {ring.pk: 1}, reference="S1")
    assert tie_anew(ring.pk) == [held, ordered]
    assert keeps(ordered) == {(ring.pk, first.pk): 1} and keeps(held) == {(ring.pk, second.pk): 1}


def test_what_waits_takes_from_the_shelf_what_became_free(counter: User) -> None:
    ring = put(a_part(), 1)
    other = commit(counter, {ring.pk: 1}, reference="S1")
    line = inbound(ring, 2)
    waits = commit(counter, {ring.pk: 2}, reference="S2")
    release(counter, other)
    assert tie_anew(ring.pk) == [waits]
    assert keeps(waits) == {(ring.pk, None): 1, (ring.pk, line.pk): 1}
    assert stock_of(ring) == (1, 0, 1) and no_differences()


@pytest.mark.parametrize("seed", range(6))
def test_any_changes_keep_whole_what_a_plain_count_says_can_be_kept(counter: User, seed: int) -> None:
    """One number a part is the oracle: all there is and comes, less all that is kept."""
    chance = random.Random(seed)
    parts = [put(a_part(), chance.randint(1, 4)) for _ in range(3)]
    lines = [inbound(part, chance.randint(1, 4), in_days=chance.randint(1, 30)) for part in parts * 2]
    there = Counter({part.pk: stock_of(part)[0] for part in parts})
    for line in lines:
        there[line.part_id] += line.quantity
    mine: dict[int, Counter[int]] = {}

    def wants() -> dict[int, int]:
        return {part.pk: chance.randint(1, 4) for part in chance.sample(parts, chance.randint(1, 3))}

    for _ in range(30):
        wanted = wants()
        changed = chance.choice(list(mine)) if mine and chance.random() < 0.6 else None
        taken: Counter[int] = sum((kept for pk, kept in mine.items() if pk != changed), Counter())
        fits = all(there[part] - taken[part] >= pieces for part, pieces in wanted.items())
        later = today() + timedelta(days=chance.randint(0, 30)) if chance.random() < 0.4 else None
        try:
            if changed is None:
                kept = commit(counter, wanted, reference="S", wanted_on=later)
            else:
                kept = change(counter, Reservation.objects.get(pk=changed), wanted)
        except Short:
            assert not fits
        else:
            assert fits
            mine[kept.pk] = Counter(wanted)
        if chance.random() < 0.3:
            slip(chance.choice(lines), chance.randint(1, 40))
            tie_anew(*there)
        for pk, kept_before in mine.items():
            now_kept: Counter[int] = Counter()
            for (part, _), pieces in keeps(Reservation.objects.get(pk=pk)).items():
                now_kept[part] += pieces
            assert now_kept == kept_before
    assert no_differences()
