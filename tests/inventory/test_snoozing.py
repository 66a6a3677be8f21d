"""An alert is left until a day, for a reason; it is quiet until then, and clears like any other."""

from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.utils import timezone

from inventory.acting import ActError, Conflict, NotAllowed
from inventory.alerting import look_again, open_alerts, snooze, wake
from inventory.models import Alert, AuditEntry, Part, Target
from tests.clerks import Clerk
from tests.inventory.alert_rows import an_alert
from tests.inventory.builders import a_part, an_offer, put, today

pytestmark = [pytest.mark.django_db, pytest.mark.main_job]

REASON = "the next delivery brings a box of them"


@pytest.fixture
def buyer(clerk: Clerk) -> User:
    return clerk("buying")


def short(on_hand: int = 2) -> Part:
    ring = put(a_part(), on_hand)
    an_offer(ring)
    Target.objects.create(part=ring, reorder_at=6, up_to=18, why="sells steadily")
    return ring


def test_it_is_quiet_until_its_day_and_then_heard_by_the_clock(buyer: User) -> None:
    now = timezone.now()
    (alert,) = look_again([short().pk], now)
    until = today() + timedelta(days=3)
    left = snooze(buyer, alert, until, f"  {REASON} ")
    assert (left.snoozed_until, left.snoozed_by, left.snooze_reason) == (until, buyer, REASON)
    assert not open_alerts(now).exists()
    assert open_alerts(now, snoozed=True).get() == alert
    assert not open_alerts(now + timedelta(days=2)).exists()
    assert open_alerts(now + timedelta(days=3)).get() == alert
    assert not open_alerts(now + timedelta(days=3), snoozed=True).exists()
    assert AuditEntry.objects.get().subject_id == str(alert.pk)


def test_meanwhile_it_is_updated_and_cleared_like_any_other(buyer: User) -> None:
    ring = short()
    (alert,) = look_again([ring.pk], timezone.now())
    snooze(buyer, alert, today() + timedelta(days=3), REASON)
    put(ring, 1)
    (updated,) = look_again([ring.pk], timezone.now())
    assert updated.pk == alert.pk and updated.quantity == 15 and updated.snooze_reason == REASON
    put(ring, 10)
    assert look_again([ring.pk], timezone.now()) == []
    assert not open_alerts(timezone.now() + timedelta(days=3)).exists()
    Target.objects.update(reorder_at=17)
    (anew,) = look_again([ring.pk], timezone.now())
    assert anew.pk != alert.pk and anew.snoozed_until is None


def test_it_can_be_woken(buyer: User) -> None:
    (alert,) = look_again([short().pk], timezone.now())
    assert wake(buyer, alert).snoozed_until is None, "it was awake"
    snooze(buyer, alert, today() + timedelta(days=3), REASON)
    woken = wake(buyer, alert)
    assert (woken.snoozed_until, woken.snoozed_by, woken.snooze_reason) == (None, None, "")
    assert open_alerts(timezone.now()).get() == alert


@pytest.mark.parametrize(
    ("days", "reason", "code"), [(3, "  ", "reason-needed"), (0, REASON, "until-is-past"), (-1, REASON, None)]
)
def test_a_reason_and_a_day_after_today_are_needed(
    buyer: User, days: int, reason: str, code: str | None
) -> None:
    (alert,) = look_again([short().pk], timezone.now())
    with pytest.raises(ActError) as refused:
        snooze(buyer, alert, today() + timedelta(days=days), reason)
    assert refused.value.code == (code or "until-is-past")
    assert open_alerts(timezone.now()).exists()


def test_what_is_over_cannot_be_left_or_woken(buyer: User) -> None:
    alert = Alert.objects.create(**an_alert(cleared_at=timezone.now()))
    with pytest.raises(Conflict):
        snooze(buyer, alert, today() + timedelta(days=3), REASON)
    with pytest.raises(Conflict):
        wake(buyer, alert)


def test_other_desks_leave_alerts_alone(clerk: Clerk) -> None:
    alert = Alert.objects.create(**an_alert())
    for desk in ("counter", "floor", "catalogue"):
        with pytest.raises(NotAllowed):
            snooze(clerk(desk), alert, today() + timedelta(days=3), REASON)
        with pytest.raises(NotAllowed):
            wake(clerk(desk), alert)


def test_the_dearest_to_wait_comes_first_and_of_equal_ones_the_soonest_felt() -> None:
    def one(cost: str, **more: Any) -> Alert:
        return Alert.objects.create(**an_alert(cost_to_wait=Decimal(cost), **more))

    never, soon, dear = one("0"), one("0", hits_on=today()), one("3.10")
    assert list(open_alerts(timezone.now())) == [dear, soon, never]
