"""Buying is warned in time, once, with the figures."""

from datetime import date, datetime, timedelta

import pytest
from django.contrib.auth.models import User
from django.utils import timezone

from inventory.acting import NotAllowed
from inventory.buying import alert_waiting, clear_waiting, look_again, order_from_alerts, receive, send
from inventory.models import Alert, MonthlyDemand, Part, PurchaseOrder, Target
from inventory.reserving import commit, hold
from inventory.tasks import raise_alerts
from tests.clerks import Clerk
from tests.inventory.builders import a_part, an_offer, inbound, put, the_dock, today

pytestmark = pytest.mark.django_db

NOW = datetime(2026, 11, 25, 12, tzinfo=timezone.get_default_timezone())


@pytest.fixture
def buyer(clerk: Clerk) -> User:
    the_dock()
    return clerk("buying")


def watched(quantity: int, *, reorder_at: int = 6, up_to: int = 18) -> Part:
    part = a_part()
    if quantity:
        put(part, quantity)
    Target.objects.create(part=part, reorder_at=reorder_at, up_to=up_to, why="sells steadily")
    return part


def sold(part: Part, quantity: int, *, months_ago: int = 1) -> None:
    month = NOW.month - months_ago
    first = date(NOW.year + (month - 1) // 12, (month - 1) % 12 + 1, 1)
    MonthlyDemand.objects.create(part=part, month=first, quantity=quantity)


@pytest.mark.main_job
def test_an_alert_says_how_many_from_whom_by_when_and_why() -> None:
    ring = watched(4)
    an_offer(ring, pack=5, least=10)
    for months_ago in range(1, 13):
        sold(ring, 6, months_ago=months_ago)
    (alert,) = look_again([ring.pk], NOW)
    assert alert.reason == (
        "4 free and 0 to come; order at 6, up to 18. "
        "At 0.2 a day it lasts until 15 Dec; Corran Supply takes 21 days."
    )
    assert alert.supplier is not None
    assert (alert.quantity, alert.supplier.name, alert.order_by) == (15, "Corran Supply", NOW.date())


def test_there_is_time_until_the_stock_runs_out_less_the_delivery() -> None:
    ring = watched(4)
    an_offer(ring, lead_days=7)
    sold(ring, 6)
    (alert,) = look_again([ring.pk], NOW)
    assert alert.order_by == date(2026, 12, 8)


def test_demand_counts_from_the_first_month_sold_and_over_a_year_at_most() -> None:
    new, old = watched(5), watched(5)
    sold(new, 12, months_ago=2)
    sold(old, 12, months_ago=2)
    sold(old, 900, months_ago=14)
    below = [alert for alert in look_again(None, NOW) if alert.cause == Alert.Cause.BELOW_TARGET]
    reasons = {alert.part_id: alert.reason for alert in below}
    assert "At 0.2 a day" in reasons[new.pk]
    assert "At 0.033 a day" in reasons[old.pk]


def test_what_nobody_offers_or_nobody_buys_is_said_too() -> None:
    (alert,) = look_again([watched(0).pk], NOW)
    assert "Nothing was sold in the last 12 months; nobody offers it" in alert.reason
    assert alert.supplier is None and alert.quantity == 18


@pytest.mark.main_job
def test_looking_twice_leaves_one_open_alert_and_restocking_clears_it() -> None:
    ring = watched(4)
    first = look_again(None, NOW)
    assert look_again(None, NOW) == first
    put(ring, 1)
    (updated,) = look_again(None, NOW + timedelta(hours=1))
    assert updated.pk == first[0].pk and updated.reason.startswith("5 free") and updated.quantity == 13
    put(ring, 2)
    assert look_again([ring.pk], NOW) == []
    assert Alert.objects.get().cleared_at is not None
    Target.objects.update(reorder_at=10)
    assert raise_alerts() == 1
    assert Alert.objects.count() == 2


def test_kept_stock_is_not_free_and_unreserved_inbound_counts(clerk: Clerk) -> None:
    ring = watched(10)
    commit(clerk("counter"), {ring.pk: 3}, reference="S1")
    until = timezone.now() + timedelta(hours=1)
    hold(clerk("counter"), {ring.pk: 2}, until=until, reference="Q1")
    assert look_again([ring.pk], timezone.now())[0].reason.startswith("5 free and 0 to come")
    assert look_again([ring.pk], until) == []
    inbound(ring, 2)
    assert look_again([ring.pk], timezone.now()) == []


def test_only_the_parts_asked_for_are_looked_at() -> None:
    watched(0)
    assert look_again([watched(99).pk], NOW) == [] and not Alert.objects.exists()


@pytest.mark.main_job
def test_from_alert_to_the_shelf(buyer: User) -> None:
    ring, seal = watched(4), watched(0)
    an_offer(ring, pack=5, least=10)
    an_offer(seal)
    alerts = look_again(None, timezone.now())
    (draft,) = order_from_alerts(buyer, alerts)
    assert draft.state == PurchaseOrder.State.DRAFT
    assert dict(draft.lines.values_list("part", "quantity")) == {ring.pk: 15, seal.pk: 18}
    sent = send(buyer, draft)
    assert set(sent.lines.values_list("due", flat=True)) == {today() + timedelta(days=21)}
    assert not Alert.objects.filter(cleared_at=None).exists()
    everything = dict(sent.lines.values_list("pk", "quantity"))
    receive(buyer, sent, delivery_note="DN-1", quantities=everything)
    assert look_again(None, timezone.now()) == []


def test_an_order_that_waits_is_an_alert_of_its_own_for_what_is_short() -> None:
    ring, seal = put(a_part(), 2), put(a_part(), 2)
    an_offer(ring, pack=4)
    (alert,) = alert_waiting({ring.pk: 5, seal.pk: 2}, "S00012 waits", NOW)
    assert (alert.part, alert.cause, alert.quantity, alert.order_by) == (
        ring,
        Alert.Cause.ORDER_WAITS,
        4,
        NOW.date(),
    )
    assert alert.reason == "S00012 waits: 5 wanted, 2 free and 0 to come; Corran Supply takes 21 days."
    assert alert_waiting({ring.pk: 5}, "S00012 waits", NOW) == [alert]
    clear_waiting([ring.pk], NOW)
    assert not Alert.objects.filter(cleared_at=None).exists()


def test_other_desks_do_not_buy(clerk: Clerk) -> None:
    for desk in ("counter", "floor", "catalogue"):
        with pytest.raises(NotAllowed):
            order_from_alerts(clerk(desk), [])
