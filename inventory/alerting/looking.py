"""Asks all causes about some parts, or about all, and has the answers written."""

from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime

from django.db import transaction
from django.db.models import Exists, F, OuterRef, Q

from inventory.acting import retrying
from inventory.models import Alert, Part, PurchaseLine, PurchaseOrder

from .dead import dead_stock
from .lateness import holds_at_risk, late_lines
from .needs import needs
from .sight import Sight
from .writing import write

# Parts looked at in one go: enough to be quick, few enough for one statement.
AT_ONCE = 1000
# That an order waits with nothing kept for it is for the shop to say; see `waiting`.
CAUSES = tuple(cause for cause in Alert.Cause if cause != Alert.Cause.ORDER_WAITS)


def look_again(part_ids: Iterable[int] | None, now: datetime) -> list[Alert]:
    """Raise, update or clear the alerts of these parts; of all parts when None. Returns those open now.

    For each thousand parts a handful of statements, in a transaction of their own unless there is one.
    """
    found: list[Alert] = []
    for ids in _in_chunks(part_ids):
        _look_at(ids, now)
        opened = Alert.objects.filter(part_id__in=ids, cause__in=CAUSES, cleared_at=None)
        found += opened.select_related("part__maker", "supplier").order_by("part_id", "pk")
    return found


def look_over(now: datetime) -> int:
    """The same for all parts, without bringing the alerts along; returns how many are open."""
    for ids in _in_chunks(None):
        _look_at(ids, now)
    return Alert.objects.filter(cause__in=CAUSES, cleared_at=None).count()


def _look_at(part_ids: Sequence[int], now: datetime) -> None:
    def once() -> None:
        with transaction.atomic():
            sight = Sight(part_ids, now)
            found = [*needs(sight), *late_lines(sight), *holds_at_risk(sight), *dead_stock(sight)]
            write(part_ids, CAUSES, found, now)

    retrying(once)


def _in_chunks(part_ids: Iterable[int] | None) -> Iterator[list[int]]:
    if part_ids is None:
        yield from _all_parts()
        return
    ids = sorted(set(part_ids))
    for start in range(0, len(ids), AT_ONCE):
        yield ids[start : start + AT_ONCE]


def _all_parts() -> Iterator[list[int]]:
    """Every part that there may be something to say of: with a target, on the shelf, to come, or told of."""
    to_come = PurchaseLine.objects.filter(
        part=OuterRef("pk"), order__state=PurchaseOrder.State.SENT, quantity__gt=F("received")
    )
    told = Alert.objects.filter(part=OuterRef("pk"), cleared_at=None)
    parts = Part.objects.filter(
        Q(target__isnull=False) | Q(stock__on_hand__gt=0) | Exists(to_come) | Exists(told)
    ).order_by("pk")
    last = 0
    while ids := list(parts.filter(pk__gt=last).values_list("pk", flat=True)[:AT_ONCE]):
        yield ids
        last = ids[-1]
