"""How fast parts go: pieces a day over the last year."""

from __future__ import annotations

from collections.abc import Collection
from datetime import date, datetime
from fractions import Fraction

from django.db.models import Min
from django.utils import timezone

from inventory.models import Demand, MonthlyDemand
from inventory.planning import daily_rate

from .reading import monthly, predecessors
from .recording import WENT_OUT

MONTHS = 12


def daily_rates(part_ids: Collection[int], now: datetime) -> dict[int, Fraction]:
    """Pieces a day over the last twelve whole months, or since the part was first sold if that is later.

    What went of the parts that it came in place of went of it. Large orders that will not come again are no
    pace to go by. Parts without a sale are left out.
    """
    today = timezone.localdate(now)
    this_month = today.replace(day=1)
    first_month = this_month.replace(year=this_month.year - 1)
    lines = {part_id: {part_id} for part_id in part_ids}
    for part_id, olds in predecessors(part_ids, today).items():
        lines[part_id] |= olds
    all_ids = set().union(*lines.values())
    known_since = _first_sold(all_ids, this_month)
    sold = monthly(all_ids, first_month, this_month, one_offs=False)
    rates = {}
    for part_id, line in lines.items():
        if went := sum(sum(sold[one].values()) for one in line if one in sold):
            since = max(min(known_since[one] for one in line if one in known_since), first_month)
            months = (this_month.year - since.year) * MONTHS + this_month.month - since.month
            rates[part_id] = daily_rate([went, *[0] * (months - 1)])
    return rates


def _first_sold(part_ids: Collection[int], before: date) -> dict[int, date]:
    months = MonthlyDemand.objects.filter(part_id__in=part_ids, month__lt=before).order_by()
    events = Demand.objects.filter(part_id__in=part_ids, day__lt=before, kind__in=WENT_OUT).order_by()
    found = dict(months.values_list("part_id").annotate(Min("month")))
    for part_id, day in events.values_list("part_id").annotate(Min("day")):
        found[part_id] = min(found.get(part_id, day), day)
    return found
