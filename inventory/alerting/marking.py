"""What an act did to what can be had of parts is looked at once it is committed.

An act that keeps a kit holds rows that others wait for, so nothing is looked at inside it. After the commit
one statement asks which of its parts there may be something to say of: those that are down to where they
are ordered, and those that an alert is open for. Mostly there are none. The rest is a worker's task; without
one it is done at once, for so few parts. What a stopped worker misses, the next look over all parts finds.
"""

from collections.abc import Collection, Iterable
from functools import partial

from django.conf import settings
from django.db import connection, transaction
from django.db.models import F
from django.utils import timezone

from inventory.models import Alert, Target
from inventory.prepared import run

from .looking import look_again

_CONCERNED = """
SELECT array_agg(part_id) FROM (
    SELECT target.part_id FROM inventory_target AS target
    JOIN inventory_stock AS stock ON stock.part_id = target.part_id
    WHERE target.part_id = ANY (%s::text::bigint[])
    AND stock.on_hand - stock.held - stock.committed <= target.reorder_at
    UNION
    SELECT part_id FROM inventory_alert WHERE cleared_at IS NULL AND part_id = ANY (%s::text::bigint[])
) AS concerned
"""


def availability_changed(part_ids: Iterable[int]) -> None:
    """Look at these parts after the transaction: what can be had of them has become less, or more.

    A look that fails is logged, and takes nothing back of what was done.
    """
    if parts := frozenset(part_ids):
        transaction.on_commit(partial(_look, parts), robust=True)


def _look(part_ids: Collection[int]) -> None:
    concerned = _concerned(part_ids)
    if not concerned:
        return
    if settings.CELERY_TASK_ALWAYS_EAGER:
        look_again(concerned, timezone.now())
        return
    from inventory.tasks import look_at_parts

    # A broker that does not answer keeps nobody at the counter.
    look_at_parts.apply_async((concerned,), retry=False)


def _concerned(part_ids: Collection[int]) -> list[int]:
    if connection.vendor == "postgresql":
        ids = f"{{{','.join(map(str, part_ids))}}}"
        (found,) = run(_CONCERNED, (ids, ids)) or (None,)
        return sorted(found or [])
    low = Target.objects.filter(
        part__in=part_ids,
        reorder_at__gte=F("part__stock__on_hand") - F("part__stock__held") - F("part__stock__committed"),
    )
    told = Alert.objects.filter(part__in=part_ids, cleared_at=None)
    return sorted({*low.values_list("part_id", flat=True), *told.values_list("part_id", flat=True)})
