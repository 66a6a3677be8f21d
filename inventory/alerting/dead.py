"""Dead stock: it lies here, is worth something, and nobody asked for it in a long time."""

from collections.abc import Collection, Iterator
from datetime import date, datetime, time

from django.conf import settings
from django.utils import timezone

from inventory.models import Alert, Demand, MonthlyDemand, Movement, ReceiptLine, Stock
from inventory.planning.waiting_cost import CENT, lying

from .shares import shares
from .sight import Sight


def dead_stock(sight: Sight) -> Iterator[Alert]:
    """What lies free beyond the part's target, was not asked for in SHOP_DEAD_MONTHS, and did not come since.

    A shop whose own records do not reach back so far knows of nothing that it is dead.
    """
    since = months_before(sight.today, settings.SHOP_DEAD_MONTHS)
    needed = {target.part_id: target.up_to for target in sight.targets}
    rows = Stock.objects.filter(
        part_id__in=sight.part_ids, on_hand__gt=0, value__gte=settings.SHOP_DEAD_VALUE
    )
    lies = {}
    for part_id, on_hand, value in rows.values_list("part_id", "on_hand", "value"):
        pieces = sight.known.free(part_id) - needed.get(part_id, 0)
        worth = value * pieces / on_hand
        if pieces > 0 and worth >= settings.SHOP_DEAD_VALUE:
            lies[part_id] = pieces, worth.quantize(CENT)
    if not lies or not _known_before(since):
        return
    alive = _asked_for(lies, since) | _came(lies, since)
    for part_id, (pieces, worth) in sorted(lies.items()):
        if part_id not in alive:
            yield Alert(
                part_id=part_id,
                cause=Alert.Cause.DEAD_STOCK,
                reason=(
                    f"{pieces} {'lies' if pieces == 1 else 'lie'} here, worth {worth}, and nobody asked for "
                    f"any in the last {settings.SHOP_DEAD_MONTHS} months: send back, or sell off."
                ),
                quantity=0,
                order_by=sight.today,
                cost_to_wait=lying(worth, shares()),
            )


def months_before(today: date, months: int) -> date:
    """The first day of the month so many whole months before today's."""
    month = today.year * 12 + today.month - 1 - months
    return date(month // 12, month % 12 + 1, 1)


def _known_before(since: date) -> bool:
    return (
        MonthlyDemand.objects.filter(month__lte=since).exists()
        or Demand.objects.filter(day__lte=since).exists()
    )


def _asked_for(part_ids: Collection[int], since: date) -> set[int]:
    asked = Demand.objects.filter(part_id__in=list(part_ids), day__gte=since).exclude(kind=Demand.Kind.RETURN)
    months = MonthlyDemand.objects.filter(part_id__in=list(part_ids), month__gte=since, quantity__gt=0)
    return set(asked.order_by().values_list("part_id", flat=True)) | set(
        months.order_by().values_list("part_id", flat=True)
    )


def _came(part_ids: Collection[int], since: date) -> set[int]:
    """Bought or made up since then: it had no time to be asked for."""
    at = datetime.combine(since, time.min, timezone.get_current_timezone())
    bought = ReceiptLine.objects.filter(purchase_line__part_id__in=list(part_ids), receipt__at__gte=at)
    made = Movement.objects.filter(part_id__in=list(part_ids), act=Movement.Act.MAKE_UP, at__gte=at)
    return set(bought.order_by().values_list("purchase_line__part_id", flat=True)) | set(
        made.order_by().values_list("part_id", flat=True)
    )
