"""When could it ship? Plain reads, true by the clock: a hold that has lapsed counts for nothing here,
whether or not the sweeper has been round.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.db.models import F, OuterRef, QuerySet, Subquery, Sum
from django.db.models.functions import Coalesce
from django.utils import timezone

from .models import Offer, PurchaseLine, PurchaseOrder, Reservation, ReservationLine, Stock


@dataclass(frozen=True)
class PromiseLine:
    """`on` is the day the last piece is here, None when nobody offers it; `how` says where from."""

    part_id: int
    wanted: int
    free: int
    on: date | None
    how: str


@dataclass(frozen=True)
class Promise:
    """The day all of it could ship; None as soon as one line has no day."""

    on: date | None
    lines: tuple[PromiseLine, ...]


@dataclass(frozen=True)
class Inbound:
    """What is still to come on one purchase line and is reserved for nobody."""

    line: PurchaseLine
    left: int


def _lapsed_quantity(lines: QuerySet[ReservationLine], by: str, now: datetime) -> Coalesce:
    """How many of `lines`, summed `by` their part or purchase line, count for holds that are over."""
    over = lines.filter(
        reservation__kind=Reservation.Kind.HOLD,
        reservation__state=Reservation.State.KEPT,
        reservation__until__lte=now,
    )
    return Coalesce(Subquery(over.order_by().values(by).annotate(total=Sum("quantity")).values("total")), 0)


def free(part_ids: Iterable[int], now: datetime) -> dict[int, int]:
    """On hand, less what is committed and what is held by holds that still run."""
    wanted = set(part_ids)
    from_stock = ReservationLine.objects.filter(part_id=OuterRef("part_id"), purchase_line=None)
    rows = (
        Stock.objects.filter(part_id__in=wanted)
        .annotate(unswept=_lapsed_quantity(from_stock, "part_id", now))
        .annotate(free_now=F("on_hand") - F("held") - F("committed") + F("unswept"))
    )
    return dict.fromkeys(wanted, 0) | dict(rows.values_list("part_id", "free_now"))


def to_come(part_ids: Iterable[int], now: datetime) -> dict[int, list[Inbound]]:
    """What sent purchase orders still bring and is reserved for nobody, soonest first."""
    on_line = ReservationLine.objects.filter(purchase_line_id=OuterRef("pk"))
    lines = (
        PurchaseLine.objects.filter(part_id__in=set(part_ids), order__state=PurchaseOrder.State.SENT)
        .annotate(unswept=_lapsed_quantity(on_line, "purchase_line_id", now))
        .annotate(left=F("quantity") - F("received") - F("reserved") + F("unswept"))
        .filter(left__gt=0)
        .select_related("order__supplier")
        .order_by("part_id", "due", "id")
    )
    found: dict[int, list[Inbound]] = defaultdict(list)
    for line in lines:
        found[line.part_id].append(Inbound(line, line.left))
    return dict(found)


def best_offers(part_ids: Iterable[int]) -> dict[int, Offer]:
    """The cheapest offer for each part that has one; of equally cheap ones the quickest."""
    offers = Offer.objects.filter(part_id__in=set(part_ids)).select_related("supplier")
    quickness = Coalesce("lead_days", "supplier__lead_days")
    best: dict[int, Offer] = {}
    for offer in offers.order_by("part_id", "price", quickness, "id"):
        best.setdefault(offer.part_id, offer)
    return best


def promise(wants: Mapping[int, int], now: datetime) -> Promise:
    """The day on which all of `wants` (part: how many) can be had, and what each part waits for.

    Today for what is free, else the due date of the last inbound piece that is needed, else today
    plus the lead time of the best offer. An overdue delivery is not expected before tomorrow.
    """
    today = timezone.localdate(now)
    here, inbound = free(wants, now), to_come(wants, now)
    beyond = [
        part_id
        for part_id, wanted in wants.items()
        if wanted > here[part_id] + sum(arrival.left for arrival in inbound.get(part_id, []))
    ]
    offers = best_offers(beyond)
    lines = tuple(
        _promise_line(part_id, wanted, here[part_id], inbound.get(part_id, []), offers.get(part_id), today)
        for part_id, wanted in sorted(wants.items())
    )
    days = [line.on for line in lines]
    if None in days:
        return Promise(None, lines)
    return Promise(max((day for day in days if day is not None), default=today), lines)


def _promise_line(
    part_id: int, wanted: int, here: int, inbound: list[Inbound], offer: Offer | None, today: date
) -> PromiseLine:
    missing = wanted - here
    on, how = today, [f"{min(wanted, here)} on the shelf"] if here > 0 else []
    for arrival in inbound:
        if missing <= 0:
            break
        taken = min(missing, arrival.left)
        missing -= taken
        on, said = max(on, _expected(arrival.line.due, today)), _arrival(arrival.line, taken, today)
        how.append(said)
    if missing <= 0:
        return PromiseLine(part_id, wanted, here, on, ", ".join(how))
    if offer is None:
        how.append(f"{missing} that nobody offers")
        return PromiseLine(part_id, wanted, here, None, ", ".join(how))
    how.append(f"{missing} to order from {offer.supplier}, {offer.days} days")
    return PromiseLine(part_id, wanted, here, max(on, today + timedelta(days=offer.days)), ", ".join(how))


def _expected(due: date, today: date) -> date:
    return due if due >= today else today + timedelta(days=1)


def _arrival(line: PurchaseLine, taken: int, today: date) -> str:
    late = ", overdue: ask when it comes" if line.due < today else ""
    return f"{taken} from {line.order.supplier} ({line.order.number}) due {line.due:%-d %b}{late}"
