"""The history of a part: what was on hand after each movement, whatever is shown of it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from itertools import accumulate
from typing import Any, NamedTuple

import pytest
from django.utils import timezone
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.django import TestCase

from inventory import history
from inventory.history import Entry, Sieve
from inventory.ledger import outside
from inventory.models import Lot, Movement, Part, Place, Stock
from tests.inventory.builders import a_bin, a_part, put, the_founder

# Half past eleven in the evening in the shop, whose summer is an hour ahead of UTC: days are its own.
START = datetime(2026, 6, 10, 22, 30, tzinfo=UTC)
LOTS = (None, "L1", "L2")
REFERENCES = ("", "S00012", "s00013", "B00001")
PLACES = ("A-1-1-1", "A-1-2-1", "SUPPLIER", "SCRAP")


class Made(NamedTuple):
    """One movement to make: by hours after the start, places and lots by their place in the lists."""

    hours: int
    quantity: int
    origin: int
    destination: int
    lot: int
    reference: int
    act: Movement.Act


def made() -> st.SearchStrategy[Made]:
    below = st.integers(0, 3)
    movement = st.builds(
        Made,
        hours=st.integers(0, 72),
        quantity=st.integers(1, 9),
        origin=below,
        destination=below,
        lot=st.integers(0, 2),
        reference=below,
        act=st.sampled_from([Movement.Act.RECEIVE, Movement.Act.MOVE, Movement.Act.SCRAP]),
    )
    return movement.filter(lambda one: one.origin != one.destination)


SIEVES = st.builds(
    Sieve,
    act=st.sampled_from(["", "receive", "scrap"]),
    place=st.sampled_from(["", "a-1-1-1", "SCRAP", "nowhere"]),
    lot=st.sampled_from(["", "l1", "L2"]),
    since=st.sampled_from([None, date(2026, 6, 11), date(2026, 6, 12)]),
    until=st.sampled_from([None, date(2026, 6, 11), date(2026, 6, 13)]),
    reference=st.sampled_from(["", "S000", "b"]),
)


def written(part: Part, movements: Sequence[Made]) -> list[Movement]:
    """The movements as the ledger would have written them, and the sum beside them."""
    places = [a_bin(), a_bin(bay=2), outside(Place.Kind.SUPPLIER), outside(Place.Kind.SCRAP)]
    lots = [None, *Lot.objects.bulk_create([Lot(part=part, code=code) for code in LOTS[1:]])]
    rows = [
        Movement(
            part=part,
            at=START + timedelta(hours=one.hours),
            act=one.act,
            quantity=one.quantity,
            origin=places[one.origin],
            destination=places[one.destination],
            lot=lots[one.lot],
            reference=REFERENCES[one.reference],
            by=the_founder(),
            value=Decimal(one.quantity) * 2,
        )
        for one in movements
    ]
    Movement.objects.bulk_create(rows)
    # Balances may dip below zero on the way here: the reckoning does not mind, and the shelf is full enough.
    Stock.objects.filter(part=part).update(on_hand=1000 + sum(map(change, movements)))
    return list(part.movements.order_by("id"))


def change(one: Made) -> int:
    return one.quantity * ((one.destination < 2) - (one.origin < 2))


def passes(sieve: Sieve, one: Made) -> bool:
    day = timezone.localtime(START + timedelta(hours=one.hours)).date()
    ends = {PLACES[one.origin].lower(), PLACES[one.destination].lower()}
    return (
        sieve.act in ("", one.act)
        and (not sieve.place or sieve.place.lower() in ends)
        and (not sieve.lot or sieve.lot.lower() == (LOTS[one.lot] or "").lower())
        and (sieve.since is None or day >= sieve.since)
        and (sieve.until is None or day <= sieve.until)
        and sieve.reference.lower() in REFERENCES[one.reference].lower()
    )


def passes_opening(sieve: Sieve) -> bool:
    """The first count happened today and bears its own lot and words."""
    fits = not (sieve.act or sieve.lot or sieve.reference or sieve.until)
    return fits and sieve.place in ("", "a-1-1-1")


def all_pages(part: Part, sieve: Sieve, size: int) -> list[Entry]:
    entries: list[Entry] = []
    before = None
    while True:
        page = history.page(part, sieve, before=before, size=size)
        entries += page.entries
        before = page.before
        if before is None:
            return entries
        assert len(page.entries) == size


class AnyHistory(TestCase):
    @given(st.lists(made(), max_size=14), SIEVES, st.integers(1, 4))
    def test_every_shown_movement_tells_what_was_on_hand_after_all_that_came_before(
        self, movements: list[Made], sieve: Sieve, size: int
    ) -> None:
        part, other = a_part(), a_part()
        put(other, 3)
        put(part, 1000, lot="first")
        rows = written(part, movements)
        balances = accumulate(map(change, movements), initial=1000)
        told = [(row.pk, balance) for row, balance in zip(rows, balances, strict=True)]
        shown = [one for one in told[:1] if passes_opening(sieve)]
        shown += [one for one, asked in zip(told[1:], movements, strict=True) if passes(sieve, asked)]
        forward = list(history.oldest_first(part, sieve))
        assert [(entry.id, entry.on_hand) for entry in forward] == shown
        assert all_pages(part, sieve, size) == forward[::-1]


@pytest.mark.django_db
def test_an_entry_tells_its_change_and_its_cost() -> None:
    part = a_part()
    came, moved, left = written(
        part,
        [
            Made(0, 4, 2, 0, 0, 0, Movement.Act.RECEIVE),
            Made(1, 3, 0, 1, 0, 0, Movement.Act.MOVE),
            Made(2, 2, 1, 3, 0, 0, Movement.Act.SCRAP),
        ],
    )
    entries = {entry.id: entry for entry in history.oldest_first(part, Sieve())}
    assert [entries[row.pk].change for row in (came, moved, left)] == [4, 0, -2]
    assert entries[came.pk].unit_cost == 2
    assert entries[came.pk].act_in_words == "received"


@pytest.mark.django_db
def test_a_part_that_never_moved_has_no_history() -> None:
    part = a_part()
    assert history.page(part, Sieve()) == history.HistoryPage((), None)
    assert list(history.oldest_first(part, Sieve())) == []


@pytest.mark.django_db
def test_days_beyond_all_calendars_are_no_fault() -> None:
    part = put(a_part(), 1)
    assert len(history.page(part, Sieve(since=date.min, until=date.max)).entries) == 1


@pytest.mark.django_db
@pytest.mark.parametrize(("sieve", "queries"), [(Sieve(), 4), (Sieve(act="count", place="A-1-1-1"), 5)])
def test_a_page_asks_alike_in_a_short_and_in_a_long_history(
    sieve: Sieve, queries: int, django_assert_num_queries: Callable[[int], Any]
) -> None:
    part = put(a_part(), 1)
    for _ in range(2):
        with django_assert_num_queries(queries):
            history.page(part, sieve)
        for _ in range(20):
            put(part, 1)
