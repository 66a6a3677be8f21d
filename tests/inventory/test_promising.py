"""Dates that the shelf, the inbound orders and the suppliers can keep."""

from datetime import timedelta

import pytest
from django.utils import timezone

from inventory.promising import best_offers, free, promise, to_come
from inventory.reserving import commit, hold
from tests.clerks import Clerk
from tests.inventory.builders import a_part, a_supplier, an_offer, inbound, put, today

pytestmark = pytest.mark.django_db


@pytest.mark.main_job
def test_what_is_free_can_go_today() -> None:
    ring = put(a_part(), 3)
    promised = promise({ring.pk: 3}, timezone.now())
    assert promised.on == today()
    (line,) = promised.lines
    assert (line.part_id, line.wanted, line.free, line.on, line.how) == (
        ring.pk,
        3,
        3,
        today(),
        "3 on the shelf",
    )


@pytest.mark.main_job
def test_the_last_inbound_piece_that_is_needed_makes_the_day(clerk: Clerk) -> None:
    ring = put(a_part(), 1)
    soon, late = inbound(ring, 2, in_days=5), inbound(ring, 9, in_days=30)
    assert promise({ring.pk: 3}, timezone.now()).on == soon.due
    line = promise({ring.pk: 4}, timezone.now()).lines[0]
    assert line.on == late.due
    assert line.how == (
        f"1 on the shelf, 2 from Corran Supply ({soon.order.number}) due {soon.due:%-d %b}, "
        f"1 from Corran Supply ({late.order.number}) due {late.due:%-d %b}"
    )
    commit(clerk("counter"), {ring.pk: 2}, reference="S1")
    assert promise({ring.pk: 2}, timezone.now()).on == late.due


def test_what_is_not_on_its_way_is_ordered_from_the_cheapest_and_then_the_quickest() -> None:
    ring = a_part()
    an_offer(ring, a_supplier("Dear and Quick", 2), price="9.00")
    an_offer(ring, a_supplier("Cheap and Slow", 40), price="7.00")
    an_offer(ring, a_supplier("Cheap and Slower", 10), price="7.00", lead_days=50)
    assert best_offers([ring.pk])[ring.pk].supplier.name == "Cheap and Slow"
    line = promise({ring.pk: 2}, timezone.now()).lines[0]
    assert line.on == today() + timedelta(days=40)
    assert line.how == "2 to order from Cheap and Slow, 40 days"


def test_one_part_that_nobody_offers_leaves_the_whole_without_a_day() -> None:
    ring, seal = put(a_part(), 1), a_part()
    promised = promise({ring.pk: 1, seal.pk: 1}, timezone.now())
    assert promised.on is None
    assert [line.on for line in promised.lines] == [today(), None]
    assert promised.lines[1].how == "1 that nobody offers"


def test_an_overdue_delivery_is_not_promised_for_today() -> None:
    ring = a_part()
    inbound(ring, 1, in_days=-3)
    line = promise({ring.pk: 1}, timezone.now()).lines[0]
    assert line.on == today() + timedelta(days=1) and "overdue" in line.how


def test_lapsed_holds_are_free_on_the_shelf_and_on_the_way(clerk: Clerk) -> None:
    ring = put(a_part(), 1)
    inbound(ring, 1)
    now = timezone.now()
    hold(clerk("counter"), {ring.pk: 2}, until=now + timedelta(hours=1), reference="Q1")
    assert free([ring.pk], now) == {ring.pk: 0} and to_come([ring.pk], now) == {}
    later = now + timedelta(hours=2)
    assert free([ring.pk], later) == {ring.pk: 1}
    assert [arrival.left for arrival in to_come([ring.pk], later)[ring.pk]] == [1]


def test_a_part_without_stock_has_none_free_and_no_wants_ship_today() -> None:
    ring = a_part()
    assert free([ring.pk], timezone.now()) == {ring.pk: 0}
    assert promise({}, timezone.now()).on == today()
