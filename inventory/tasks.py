"""What happens by itself. Nothing breaks without a worker: lapsed holds count for nothing anyway."""

from celery import shared_task
from django.utils import timezone

from . import alerting, keeping


@shared_task
def lapse_holds() -> int:
    """End the holds that are over; returns how many."""
    return keeping.lapse(timezone.now())


@shared_task
def raise_alerts() -> int:
    """Look at every part that has a target; returns how many are below it."""
    return len(alerting.look_again(None, timezone.now()))
