"""Every cause is raised, updated and cleared by itself; what waiting costs is said with it."""

from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.utils import timezone

from inventory.alerting import look_again
from inventory.deliveries import receive
from inventory.models import Alert, Demand, MonthlyDemand, Part, PurchaseLine, Target
from inventory.reserving import commit, hold, release
from inventory.slipping import slip
from tests.clerks import Clerk
from tests.inventory.builders import a_part, an_offer, inbound, put, the_dock, today

pytestmark = [pytest.mark.django_db, pytest.mark.main_job]

Cause = Alert.Cause


def watched(quantity: int, *, reorder_at: int = 6, up_to: int = 18, **more: Any) -> Part:
    part = a_part()
    if quantity:
        put(part, quantity)
    Target.objects.create(part=part, reorder_at=reorder_at, up_to=up_to, why="sells steadily", **more)
    return part


def month(back: int) -> date:
    months = today().year * 12 + today().month - 1 - back
    return date(months // 12, months % 12 + 1, 1)


def sells(part: Part, a_year: int) -> None:
    """So many in twelve months; a multiple of twelve."""
    for back in range(1, 13):
        MonthlyDemand.objects.create(part=part, month=month(back), quantity=a_year // 12)


def of(cause: Cause, part: Part) -> Alert | None:
    """What is open for the part and cause after a look at it."""
    found = [alert for alert in look_again([part.pk], timezone.now()) if alert.cause == cause]
    assert len(found) < 2
    return found[0] if found else None


def in_days(days: int) -> date:
    return today() + timedelta(days=days)


def test_a_part_runs_out_before_what_is_ordered_today_could_come() -> None:
    ring = watched(10)
    an_offer(ring, lead_days=21)
    sells(ring, 360)  # Nearly one a day.
    alert = of(Cause.RUNS_OUT, ring)
    assert alert is not None
    # 10 pieces at 360 a year last ten days and a bit.
    assert (alert.hits_on, alert.quantity) == (in_days(11), 8)
    assert "10 free and 0 to come" in alert.reason and "nothing is on its way" in alert.reason
    # A fifth of 12.50 for each of 360/365 pieces a day.
    assert alert.cost_to_wait == Decimal("2.47")
    first = alert.pk

    inbound(ring, 30, in_days=15)
    alert = of(Cause.RUNS_OUT, ring)
    assert alert is not None and alert.pk == first
    assert f"the next delivery is counted on for {in_days(15):%-d %b}" in alert.reason

    inbound(ring, 30, in_days=5)
    assert of(Cause.RUNS_OUT, ring) is None
    assert Alert.objects.get(pk=first).cleared_at is not None


def test_what_runs_out_but_can_be_ordered_in_time_waits_for_its_target() -> None:
    ring = watched(10)
    an_offer(ring, lead_days=10)
    sells(ring, 360)
    assert of(Cause.RUNS_OUT, ring) is None


def test_below_its_target_the_target_says_how_many_and_running_out_only_when() -> None:
    ring = watched(3)
    an_offer(ring, lead_days=21)
    sells(ring, 360)
    below, out = of(Cause.BELOW_TARGET, ring), of(Cause.RUNS_OUT, ring)
    assert below is not None and out is not None
    assert (below.quantity, out.quantity) == (15, 0)
    assert below.hits_on == out.hits_on == in_days(4)
    assert below.cost_to_wait == out.cost_to_wait > 0


def test_below_target_costs_nothing_yet_while_the_order_would_come_in_time() -> None:
    ring = watched(6)
    an_offer(ring, lead_days=3)
    sells(ring, 36)
    alert = of(Cause.BELOW_TARGET, ring)
    assert alert is not None and alert.cost_to_wait == 0
    assert alert.hits_on is not None and alert.order_by == alert.hits_on - timedelta(days=4)


def test_a_missing_bolt_costs_what_the_kit_costs_that_cannot_go_out() -> None:
    bolt, pump = watched(0), a_part()
    Part.objects.filter(pk=pump.pk).update(price=Decimal("900.00"))
    an_offer(bolt)
    sells(bolt, 0)
    for part, quantity in ((bolt, 4), (pump, 1)):
        Demand.objects.create(part=part, day=in_days(-40), quantity=quantity, kind=Demand.Kind.KIT,
                              kit="belt-pump", kits=1, reference="S00001/1")  # fmt: skip
    Demand.objects.filter(part=bolt).update(day=month(2))
    Demand.objects.filter(part=pump).update(day=month(2))
    alert = of(Cause.BELOW_TARGET, bolt)
    assert alert is not None
    # Each of the four bolts carries a quarter of 950.00; four in twelve months are sold.
    assert alert.cost_to_wait == round(Decimal("237.50") / 5 * 4 / 365, 2)


def test_what_is_not_to_be_bought_any_more_is_never_short() -> None:
    ring = watched(0, reorder_at=0, up_to=0)
    an_offer(ring)
    sells(ring, 360)
    assert look_again([ring.pk], timezone.now()) == []


def late_for(user: User, ring: Part, line: PurchaseLine) -> None:
    slip(user, line, in_days(30), "their lathe broke")


def test_a_line_that_is_put_off_starves_the_order_that_waits_for_it(clerk: Clerk) -> None:
    ring = a_part()  # No target: an order waits all the same.
    line = inbound(ring, 5, in_days=3)
    commit(clerk("counter"), {ring.pk: 4}, reference="S00007")
    assert of(Cause.LATE_LINE, ring) is None
    late_for(clerk("buying"), ring, line)
    alert = of(Cause.LATE_LINE, ring)
    assert alert is not None
    assert (alert.about, alert.purchase_line, alert.quantity) == (str(line.pk), line, 0)
    assert alert.hits_on == in_days(3) and alert.supplier == line.order.supplier
    assert f"put off from {in_days(3):%-d %b}" in alert.reason
    assert "S00007 waits for 4 of it" in alert.reason
    assert alert.cost_to_wait == Decimal("0.50")  # A hundredth of 50.00.
    kept = commit(clerk("counter"), {ring.pk: 1}, reference="S00008")
    alert = of(Cause.LATE_LINE, ring)
    assert alert is not None and "S00007, S00008 wait for 5 of it" in alert.reason
    release(clerk("counter"), kept)
    the_dock()
    receive(clerk("floor"), line.order, delivery_note="DN 1", quantities={line.pk: 5})
    assert of(Cause.LATE_LINE, ring) is None


def test_an_overdue_line_starves_nobody_who_wants_it_later(clerk: Clerk) -> None:
    ring = a_part()
    line = inbound(ring, 5, in_days=3)
    kept = commit(clerk("counter"), {ring.pk: 4}, reference="S00007", wanted_on=in_days(40))
    PurchaseLine.objects.update(due=in_days(-2))
    assert of(Cause.LATE_LINE, ring) is None
    type(kept).objects.update(wanted_on=None)
    alert = of(Cause.LATE_LINE, ring)
    assert alert is not None and "overdue: ask when it comes" in alert.reason
    assert alert.about == str(line.pk)


def test_two_late_lines_of_one_part_are_two_alerts(clerk: Clerk) -> None:
    ring = a_part()
    lines = [inbound(ring, 2, in_days=3), inbound(ring, 2, in_days=4)]
    commit(clerk("counter"), {ring.pk: 4}, reference="S00007")
    PurchaseLine.objects.update(due=in_days(-1))
    found = look_again([ring.pk], timezone.now())
    assert {alert.about for alert in found} == {str(line.pk) for line in lines}


def test_a_hold_is_at_risk_when_its_pieces_come_after_the_day_they_are_wanted(clerk: Clerk) -> None:
    ring, until = a_part(), timezone.now() + timedelta(hours=2)
    line = inbound(ring, 5, in_days=3)
    wants = {ring.pk: 2}
    kept = hold(clerk("counter"), wants, until=until, reference="Q00003", wanted_on=in_days(10))
    assert of(Cause.HOLD_AT_RISK, ring) is None
    PurchaseLine.objects.update(due=in_days(12))
    alert = of(Cause.HOLD_AT_RISK, ring)
    assert alert is not None
    assert (alert.about, alert.reservation, alert.purchase_line) == (str(kept.pk), kept, line)
    assert alert.hits_on == in_days(10)
    assert f"2 held for Q00003 come by a delivery that is late, but is wanted on {in_days(10):%-d %b}" in (
        alert.reason
    )
    after = look_again([ring.pk], until + timedelta(minutes=1))
    assert after == [], "a hold that is over is at no risk"


def test_a_hold_that_wants_its_pieces_at_once_is_at_risk_when_they_are_overdue(clerk: Clerk) -> None:
    ring, until = a_part(), timezone.now() + timedelta(hours=2)
    inbound(ring, 5, in_days=3)
    kept = hold(clerk("counter"), {ring.pk: 2}, until=until, reference="Q00003")
    assert of(Cause.HOLD_AT_RISK, ring) is None
    PurchaseLine.objects.update(due=in_days(-1))
    assert of(Cause.HOLD_AT_RISK, ring) is not None
    release(clerk("counter"), kept)
    assert of(Cause.HOLD_AT_RISK, ring) is None
