"""How long suppliers take for each part, from what they delivered; the offer's figure while that is little.

Plain reads. A line of an order counts once, on the day by which half of what came of it had come, so that
one missing piece that is sent later does not make a whole delivery late. It took the days since the order was
sent, and is late against the day that was agreed then.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from functools import cache

from django.db.models import F, Q, Window
from django.db.models.functions import Coalesce, RowNumber
from django.utils import timezone

from .models import Offer, ReceiptLine
from .planning.lead_times import MOST_DAYS, LeadTime, lead_time

Pair = tuple[int, int]  # supplier, part

# So many receipts back a part is remembered; what was before says little of today.
REMEMBERED = 40
# More parts than these are not named to the database: the suppliers alone narrow it down.
MOST_NAMED = 5000


def lead_times(pairs: Iterable[Pair]) -> dict[Pair, LeadTime]:
    """The lead time of each supplier and part, in two statements for all of them.

    Nothing for a pair of which there is neither a receipt nor an offer. `LeadTime.source` says which of the
    two a figure rests on.
    """
    wanted = set(pairs)
    offered = _offered(wanted)
    seen = _seen(wanted)

    @cache
    def by_offer(days: int) -> LeadTime:
        return lead_time([], [], days)

    found = {}
    for pair in sorted(wanted & (offered.keys() | seen.keys())):
        if pair in seen:
            taken, late = zip(*seen[pair], strict=True)
            found[pair] = lead_time(taken, late, offered.get(pair))
        else:
            found[pair] = by_offer(offered[pair])
    return found


def _named(pairs: Iterable[Pair], supplier: str, part: str) -> Q:
    """What narrows a statement down to these pairs; it may let others through."""
    suppliers, parts = {pair[0] for pair in pairs}, {pair[1] for pair in pairs}
    named = Q(**{f"{supplier}__in": suppliers})
    return named & Q(**{f"{part}__in": parts}) if len(parts) <= MOST_NAMED else named


def _offered(pairs: set[Pair]) -> Mapping[Pair, int]:
    rows = Offer.objects.filter(_named(pairs, "supplier", "part")).order_by()
    days = rows.values_list("supplier", "part", Coalesce("lead_days", "supplier__lead_days"))
    return {(supplier, part): _sane(days) for supplier, part, days in days if (supplier, part) in pairs}


def _seen(pairs: set[Pair]) -> Mapping[Pair, Sequence[tuple[int, int]]]:
    """By pair, for each line of an order, the days that it took and the days that it was late."""
    supplier, part = "purchase_line__order__supplier", "purchase_line__part"
    lines = ReceiptLine.objects.filter(_named(pairs, supplier, part)).annotate(
        number=Window(RowNumber(), partition_by=[F(supplier), F(part)], order_by=F("pk").desc()),
        agreed=Coalesce("purchase_line__first_due", "purchase_line__due"),
    )
    rows = lines.filter(number__lte=REMEMBERED, purchase_line__order__sent_at__isnull=False).order_by("pk")
    came: dict[int, list[tuple[date, int]]] = defaultdict(list)
    known: dict[int, tuple[Pair, date, date]] = {}
    for line, by, of, sent, agreed, at, quantity in rows.values_list(
        "purchase_line", supplier, part, "purchase_line__order__sent_at", "agreed", "receipt__at", "quantity"
    ):
        if (by, of) in pairs:
            came[line].append((timezone.localdate(at), quantity))
            known[line] = (by, of), timezone.localdate(sent), agreed
    found: dict[Pair, list[tuple[int, int]]] = defaultdict(list)
    for line, (pair, sent_on, agreed) in known.items():
        day = _half_came(came[line])
        found[pair].append((_sane((day - sent_on).days), (day - agreed).days))
    return found


def _half_came(receipts: Sequence[tuple[date, int]]) -> date:
    """The day by which half of the pieces were there."""
    half, here = sum(quantity for _, quantity in receipts) / 2, 0
    for day, quantity in sorted(receipts):
        here += quantity
        if here >= half:
            return day
    raise AssertionError("unreachable: all of them are at least half")


def _sane(days: int) -> int:
    """A delivery that is dated before its order, or ten years after, is a slip of the pen."""
    return min(max(0, days), MOST_DAYS)
