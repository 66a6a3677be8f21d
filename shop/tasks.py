"""Work that a worker does for the shop; stock has its own in inventory/tasks.py."""

from celery import shared_task
from django.db import transaction
from django.utils import timezone

from inventory.acting import retrying

from .ordering import review_waiting


@shared_task
def let_waiting_orders_go() -> None:
    """A lapsed hold or a purchase order sent may give a waiting order its parts, and no act tells it so."""

    def once() -> None:
        with transaction.atomic():
            review_waiting(timezone.now())

    retrying(once)
