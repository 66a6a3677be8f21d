"""The served shop's worker: a process of its own takes a task from the broker and does it."""

from datetime import timedelta

import pytest
from django.contrib.auth.models import User
from django.db import transaction
from django.utils import timezone

from inventory.models import Reservation
from inventory.reserving import hold
from inventory.tasks import lapse_holds
from tests.clerks import Clerk
from tests.inventory.builders import a_part, put, stock_of
from tests.working import celery_worker

pytestmark = pytest.mark.django_db(transaction=True)


def an_overdue_hold(user: User) -> Reservation:
    now = timezone.now()
    with transaction.atomic():
        part = put(a_part(), 5)
    kept = hold(user, {part.pk: 3}, until=now + timedelta(hours=1), reference="Q1")
    Reservation.objects.filter(pk=kept.pk).update(until=now - timedelta(hours=1))
    return kept


def test_a_worker_lapses_the_holds_that_are_over(clerk: Clerk) -> None:
    kept = an_overdue_hold(clerk("counter"))
    part = kept.lines.get().part
    assert stock_of(part) == (5, 3, 0)

    # The task waits in the broker until a worker comes.
    lapse_holds.apply_async(queue="overdue")
    with celery_worker(queue="overdue") as worker:
        worker.wait_until(lambda: Reservation.objects.filter(pk=kept.pk, state="lapsed").exists())
    assert stock_of(part) == (5, 0, 0)
