"""Work that a worker does for the shop; stock has its own in inventory/tasks.py."""

import logging
from datetime import timedelta

from celery import shared_task
from django.conf import settings
from django.db import transaction
from django.utils import timezone

from inventory.acting import retrying
from inventory.models import SupplierMail

from . import digest, letters, slipping
from .answering import forget_older_than
from .ordering import review_waiting

_log = logging.getLogger(__name__)


@shared_task
def let_waiting_orders_go() -> None:
    """A lapsed hold or a purchase order sent may give a waiting order its parts, and no act tells it so."""

    def once() -> None:
        with transaction.atomic():
            review_waiting(timezone.now())

    retrying(once)


@shared_task
def look_at_deliveries() -> int:
    """Once a day: what is overdue moves the day of whoever waits for it; returns how many lines are."""

    def once() -> int:
        with transaction.atomic():
            return slipping.look_at_deliveries(timezone.now())

    return retrying(once)


@shared_task
def send_letter(pk: int) -> None:
    """Send one letter to a supplier; nothing if it was taken up already, however often this runs."""
    letters.send_letter(pk)


@shared_task
def send_letters() -> int:
    """Send every letter to a supplier that still waits; returns how many there were.

    One that cannot be written waits on, and keeps no other from leaving.
    """
    waiting = SupplierMail.objects.filter(state=SupplierMail.State.WAITING).order_by("pk")
    ids = list(waiting.values_list("pk", flat=True))
    for pk in ids:
        try:
            letters.send_letter(pk)
        except Exception:  # noqa: BLE001  # Whatever is wrong with one, the others are to leave.
            _log.exception("Letter %s to a supplier could not be written.", pk)
    return len(ids)


@shared_task
def send_digest() -> int:
    """Once a day: tell whoever handles alerts what is open; returns how many letters left."""
    return digest.send_digest(timezone.now())


@shared_task
def forget_answers() -> int:
    """Let go of the answers kept under keys that nobody repeats any more; returns how many."""
    return forget_older_than(timezone.now() - timedelta(days=settings.SHOP_KEEP_ANSWERS_DAYS))
