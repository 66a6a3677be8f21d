"""What happens by itself. Nothing breaks without a worker: lapsed holds count for nothing anyway."""

from celery import shared_task
from django.conf import settings
from django.utils import timezone

from . import alerting, keeping, targeting, webhooks
from .models import TargetRun


@shared_task
def lapse_holds() -> int:
    """End the holds that are over; returns how many."""
    return keeping.lapse(timezone.now())


@shared_task
def raise_alerts() -> int:
    """Look at every part that there may be something to say of; returns how many alerts are open."""
    return alerting.look_over(timezone.now())


@shared_task
def look_at_parts(part_ids: list[int]) -> int:
    """Look at parts of which more or fewer can be had than before; returns how many alerts they have."""
    return len(alerting.look_again(part_ids, timezone.now()))


@shared_task
def deliver_webhooks() -> int:
    """Tell other systems what is due; returns how many messages were delivered."""
    return webhooks.deliver_due()


# A shop of a hundred thousand parts takes minutes; a worker that is stopped leaves what it did.
@shared_task(time_limit=7200)
def reckon_targets(run_id: int | None = None) -> str:
    """Have a run go on; without one, the run that has not ended, or a new one. Returns its stage."""
    if run_id is not None:
        run = TargetRun.objects.get(pk=run_id)
    else:
        run = targeting.unfinished() or targeting.begin(None, wanted=settings.SHOP_KITS_FROM_STOCK)
    return targeting.go_on(run).stage
