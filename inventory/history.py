"""The history of one part: its movements, and how many of it were on hand after each.

The balance after a movement is the true one, whatever is sifted out of sight. A page goes back from
what is on hand now and reads no further than its own end; a whole history runs forward from nothing
and is handed over row by row, so that its length costs no memory.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time
from decimal import Decimal
from typing import Any

from django.db.models import Case, F, Q, QuerySet, RowRange, Subquery, Sum, Value, When, Window
from django.db.models.functions import Coalesce
from django.utils import timezone

from .models import Movement, Part, Place, Stock

MOST_ON_A_PAGE = 200
_CHUNK = 2000
# Days beyond these are slips of the pen, and past some clocks' calendars.
_FIRST_DAY, _LAST_DAY = date(1900, 1, 1), date(9000, 1, 1)
_FIELDS = ("id", "at", "act", "quantity", "lot__code", "origin__code", "destination__code", "by__username",
           "reference", "reason", "value")  # fmt: skip


@dataclass(frozen=True)
class Sieve:
    """Which movements to show: all that is given has to hold.

    `act` is a Movement.Act; `place` is the code of where it came from or went to; `since` and `until`
    are days of the shop's calendar, both included; `reference` is found anywhere in a reference. Codes
    and references are found in capitals and small letters alike.
    """

    act: str = ""
    place: str = ""
    lot: str = ""
    since: date | None = None
    until: date | None = None
    reference: str = ""

    @property
    def lets_all_through(self) -> bool:
        return self == Sieve()


@dataclass(frozen=True, slots=True)
class Entry:
    """One movement in plain values: places, lot and clerk by their codes and names.

    `change` is what it added to what is on hand of the part, and `on_hand` what was there after it.
    """

    id: int
    at: datetime
    act: str
    quantity: int
    lot: str | None
    origin: str
    destination: str
    by: str
    reference: str
    reason: str
    value: Decimal
    change: int
    on_hand: int

    @property
    def act_in_words(self) -> str:
        return Movement.Act(self.act).label

    @property
    def unit_cost(self) -> Decimal | None:
        """What one piece cost, landed; None where no value came in or left."""
        return self.value / self.quantity if self.value else None


@dataclass(frozen=True)
class HistoryPage:
    """Latest first. `before` is what to ask for to go on to older ones; None at the end."""

    entries: tuple[Entry, ...]
    before: int | None


def page(part: Part, sieve: Sieve, *, before: int | None = None, size: int = 50) -> HistoryPage:
    """The latest movements that the sieve lets through, or those older than the movement `before`.

    They are found first, so that a thin sieve costs no sums. One statement then reads what each left on
    hand, in one moment.
    """
    wanted = _passing(sieve)
    if before is not None:
        wanted &= Q(id__lt=before)
    size = max(1, min(size, MOST_ON_A_PAGE))
    latest = Movement.objects.filter(wanted, part=part.pk).order_by("-id")
    ids = list(latest.values_list("id", flat=True)[: size + 1])
    more, ids = len(ids) > size, ids[:size]
    return HistoryPage(tuple(_entries(part, ids)), ids[-1] if more else None)


def _entries(part: Part, ids: Sequence[int]) -> Iterator[Entry]:
    """These movements of the part, the latest first as they come."""
    if not ids:
        return
    change = _change()
    of_part = Movement.objects.filter(part=part.pk)
    since = of_part.filter(id__gt=ids[0]).order_by().values("part").annotate(sum=Sum(change)).values("sum")
    on_hand = Stock.objects.filter(part=part.pk).values("on_hand")
    running = Window(Sum("change"), order_by=F("id").desc(), frame=RowRange(start=None, end=0))
    rows = of_part.filter(id__gte=ids[-1], id__lte=ids[0]).annotate(change=change, running=running)
    left = Coalesce(Subquery(on_hand), 0) - Coalesce(Subquery(since), 0) - F("running") + F("change")
    found = _after_summing(rows, Q(id__in=ids)).annotate(left=left).order_by("-id")
    after = {pk: (change, left) for pk, change, left in found.values_list("id", "change", "left")}
    fields: QuerySet[Movement, tuple[Any, ...]] = Movement.objects.filter(pk__in=ids).values_list(*_FIELDS)
    yield from (Entry(*(*row, *after[row[0]])) for row in fields.order_by("-id"))


def oldest_first(part: Part, sieve: Sieve) -> Iterator[Entry]:
    """All that the sieve lets through; they are read as they are asked for."""
    running = Window(Sum("change"), order_by=F("id").asc(), frame=RowRange(start=None, end=0))
    rows = Movement.objects.filter(part=part.pk).annotate(change=_change(), running=running)
    found = _after_summing(rows, _passing(sieve)).order_by("id")
    for row in found.values_list(*_FIELDS, "change", "running").iterator(chunk_size=_CHUNK):
        yield Entry(*row)


def _change() -> Case:
    """What a movement adds to what is on hand."""
    outside = list(Place.objects.exclude(kind__in=Place.INSIDE).values_list("pk", flat=True))
    return Case(
        When(Q(origin__in=outside) & ~Q(destination__in=outside), then=F("quantity")),
        When(~Q(origin__in=outside) & Q(destination__in=outside), then=-F("quantity")),
        default=Value(0),
    )


def _after_summing(rows: QuerySet[Movement], wanted: Q) -> QuerySet[Movement]:
    """Those of the rows that are wanted, with the sums over all of them.

    A plain filter would also take what it hides out of the sums. One that speaks of them, as this does though
    they are never null, is applied to the rows after they were summed.
    """
    return rows.filter(wanted | Q(running__isnull=True)) if wanted else rows


def _passing(sieve: Sieve) -> Q:
    wanted = Q()
    if sieve.act:
        wanted &= Q(act=sieve.act)
    if sieve.place:
        # By their ids, since an index answers that.
        places = list(Place.objects.filter(code__iexact=sieve.place).values_list("pk", flat=True))
        wanted &= Q(origin__in=places) | Q(destination__in=places)
    if sieve.lot:
        wanted &= Q(lot__code__iexact=sieve.lot)
    if sieve.since:
        wanted &= Q(at__gte=_moment(sieve.since, time.min))
    if sieve.until:
        wanted &= Q(at__lte=_moment(sieve.until, time.max))
    if sieve.reference:
        wanted &= Q(reference__icontains=sieve.reference)
    return wanted


def _moment(day: date, at: time) -> datetime:
    return timezone.make_aware(datetime.combine(min(max(day, _FIRST_DAY), _LAST_DAY), at))
