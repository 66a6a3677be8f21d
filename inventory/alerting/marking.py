"""What an act did to what can be had of parts is looked at once it is committed.

An act that keeps a kit holds rows that others wait for, so nothing is looked at inside it. It only asks which
of its parts there may be something to say of: those that are down to where they are ordered, and those that
an alert is open for. Mostly there are none. Others are a worker's task; without one they are looked at beside
the act that was committed, for they are few. What a stopped worker misses, the next look over all finds.
"""

from collections.abc import Collection, Iterable

from django.conf import settings
from django.db import transaction
from django.db.models import F
from django.utils import timezone

from inventory.models import Alert, Target

from .looking import look_again


def availability_changed(part_ids: Iterable[int]) -> None:
    """What can be had of these parts has become less, or more: after the transaction it is looked at."""
    if parts := sorted(set(part_ids)):
        transaction.on_commit(lambda: _look(_concerned(parts)), robust=True)


def look_after_commit(part_ids: Iterable[int]) -> None:
    """Look at these parts after the transaction. A look that fails is logged, and takes back nothing."""
    if parts := sorted(set(part_ids)):
        transaction.on_commit(lambda: _look(parts), robust=True)


def _look(part_ids: list[int]) -> None:
    if not part_ids:
        return
    if settings.CELERY_TASK_ALWAYS_EAGER:
        look_again(part_ids, timezone.now())
        return
    from inventory.tasks import look_at_parts

    # A broker that does not answer keeps nobody at the counter.
    look_at_parts.apply_async((part_ids,), retry=False)


def _concerned(part_ids: Collection[int]) -> list[int]:
    """Down to where they are ordered, or with an alert open: as the function that keeps a kit names them."""
    low = Target.objects.filter(
        part__in=part_ids,
        reorder_at__gte=F("part__stock__on_hand") - F("part__stock__held") - F("part__stock__committed"),
    )
    told = Alert.objects.filter(part__in=part_ids, cleared_at=None)
    return sorted({*low.values_list("part_id", flat=True), *told.values_list("part_id", flat=True)})
