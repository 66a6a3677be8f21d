"""A supplier names another day: the line says so, and what waits for the part is tied anew."""

from datetime import date, timedelta

import pytest
from django.utils import timezone

from inventory.acting import ActError, Conflict, NotAllowed
from inventory.buying import send, write_order
from inventory.models import ReservationLine
from inventory.reserving import commit
from inventory.slipping import slip
from tests.clerks import Clerk
from tests.inventory.builders import a_part, a_supplier, an_offer, inbound, today

pytestmark = pytest.mark.django_db


@pytest.mark.main_job
def test_the_first_day_stays_and_what_waits_is_tied_to_the_soonest(clerk: Clerk) -> None:
    ring = a_part()
    soon, late = inbound(ring, 1, in_days=5), inbound(ring, 1, in_days=9)
    commit(clerk("counter"), {ring.pk: 1}, reference="S1")
    moved = slip(clerk("buying"), soon, today() + timedelta(days=12), "the foundry is on strike")
    assert (moved.first_due, moved.due) == (today() + timedelta(days=5), today() + timedelta(days=12))
    assert ReservationLine.objects.get().purchase_line == late


def test_a_second_slip_keeps_the_day_of_the_first_promise(clerk: Clerk) -> None:
    line = inbound(a_part(), 1, in_days=5)
    for days in (9, 7):
        line = slip(clerk("buying"), line, today() + timedelta(days=days), "they called")
    assert (line.first_due, line.due) == (today() + timedelta(days=5), today() + timedelta(days=7))


def test_a_sent_order_remembers_its_first_days(clerk: Clerk) -> None:
    ring = a_part()
    an_offer(ring, lead_days=6)
    order = send(clerk("buying"), write_order(clerk("buying"), a_supplier(), {ring.pk: 1}))
    line = order.lines.get()
    assert line.first_due == line.due == today() + timedelta(days=6)


def test_a_quicker_order_takes_over_what_waits(clerk: Clerk) -> None:
    ring = a_part()
    inbound(ring, 1, in_days=30)
    commit(clerk("counter"), {ring.pk: 1}, reference="S1")
    an_offer(ring, lead_days=3)
    order = send(clerk("buying"), write_order(clerk("buying"), a_supplier(), {ring.pk: 1}))
    assert ReservationLine.objects.get().purchase_line == order.lines.get()


def test_a_day_at_the_end_of_all_calendars_is_refused(clerk: Clerk) -> None:
    line = inbound(a_part(), 1, in_days=5)
    with pytest.raises(ActError, match="look at the year") as caught:
        slip(clerk("buying"), line, date.max, "they called")
    assert caught.value.code == "too-far-ahead"


@pytest.mark.parametrize(
    ("days", "reason", "code"), [(-1, "late", "due-is-past"), (3, "  ", "reason-needed")]
)
def test_a_slip_needs_a_day_to_come_and_a_reason(days: int, reason: str, code: str, clerk: Clerk) -> None:
    line = inbound(a_part(), 1)
    with pytest.raises(ActError) as caught:
        slip(clerk("buying"), line, today() + timedelta(days=days), reason)
    assert caught.value.code == code
    line.refresh_from_db()
    assert line.due == today() + timedelta(days=10)


def test_what_is_not_sent_or_has_come_cannot_slip(clerk: Clerk) -> None:
    line = inbound(a_part(), 2)
    line.received = 2
    line.save()
    with pytest.raises(Conflict, match="has come"):
        slip(clerk("buying"), line, today(), "they called")
    line.order.state, line.order.sent_at = "draft", None
    line.order.approved_at = line.order.approved_by = None
    line.order.save()
    with pytest.raises(Conflict, match="send it first"):
        slip(clerk("buying"), line, today(), "they called")


def test_only_buying_writes_down_another_day(clerk: Clerk) -> None:
    line = inbound(a_part(), 1)
    with pytest.raises(NotAllowed):
        slip(clerk("floor"), line, timezone.localdate(), "they called")
