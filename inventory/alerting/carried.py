"""What a piece carries: a kit goes out whole or not at all, so a missing bolt keeps a whole kit here."""

from collections import defaultdict
from collections.abc import Mapping
from datetime import date, timedelta
from decimal import Decimal

from django.db.models import F, Window
from django.db.models.functions import RowNumber

from inventory.models import Demand, Part
from inventory.planning.waiting_cost import CENT

# So many times back it is looked at what went out with a part: kits change, and the last ones say most.
TIMES = 5
REMEMBERED = timedelta(days=365)


def carried(parts: Mapping[int, Part], today: date) -> dict[int, Decimal]:
    """By part what one piece carries, at today's prices: its own price where nothing better is known.

    Of what went out in a kit each of its pieces carries its share of the whole kit: of four bolts a quarter.
    Two queries.
    """
    rows = (
        Demand.objects.filter(part_id__in=list(parts), day__gte=today - REMEMBERED)
        .exclude(kind=Demand.Kind.RETURN)
        .annotate(
            nth=Window(RowNumber(), partition_by=[F("part_id")], order_by=[F("day").desc(), F("id").desc()])
        )
        .filter(nth__lte=TIMES)
        .values_list("part_id", "quantity", "kit", "reference")
    )
    last = list(rows)
    worth = _worth({reference for _, _, kit, reference in last if kit and reference})
    found: dict[int, list[Decimal]] = defaultdict(list)
    for part_id, quantity, kit, reference in last:
        own = parts[part_id].price
        found[part_id].append(max(own, worth[reference] / quantity) if kit and reference else own)
    return {
        part_id: (sum(found[part_id], Decimal(0)) / len(found[part_id])).quantize(CENT)
        if found[part_id]
        else part.price
        for part_id, part in parts.items()
    }


def _worth(references: set[str]) -> dict[str, Decimal]:
    """What all went out in the kits of each reference, at today's prices."""
    worth: dict[str, Decimal] = defaultdict(Decimal)
    if references:
        rows = Demand.objects.filter(reference__in=references).exclude(kind=Demand.Kind.RETURN)
        for reference, quantity, price in rows.order_by().values_list("reference", "quantity", "part__price"):
            worth[reference] += quantity * price
    return worth
