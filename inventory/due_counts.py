"""What the records know of every bin, for `planning.due_for_count`: read in a few questions."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal

from django.db.models import Count, Max
from django.db.models.functions import TruncDate
from django.utils import timezone

from .corrections import UNSETTLED_STATES, Thing
from .costing import at_average, rounded
from .demand import monthly
from .models import Balance, Correction, CountEntry, CountLine, Movement, Part, Place, Stock
from .planning import Countable, due_for_count

# Movements are doubt only while they are fresh, and reading further back would cost more every year.
WATCHED_DAYS = 30
# Why the round is made that collects what somebody on the floor found too few of.
ASKED_BY_FLOOR = "asked for by the floor"

Key = tuple[int, int, int | None]  # part, place, lot


@dataclass(frozen=True)
class LastCount:
    on: date
    difference: int
    line: int


def due_things(now: datetime, most: int) -> list[tuple[Thing, str]]:
    """The `most` urgent things that are due for a count, each with its reason.

    What waits to be counted or approved already is not due again.
    """
    today = timezone.localdate(now)
    due = due_for_count(_countables(now, today), today)[:most]
    balances = Balance.objects.select_related("part__maker", "place", "lot").in_bulk([one.key for one in due])
    found = [(balances[one.key], one.why) for one in due]
    return [(Thing(one.part, one.place, one.lot), why) for one, why in found]


def _countables(now: datetime, today: date) -> list[Countable]:
    busy = _busy()
    in_bins = Balance.objects.filter(quantity__gt=0, place__kind=Place.Kind.BIN).order_by("pk")
    rows = [
        (pk, quantity, (part, place, lot))
        for pk, quantity, part, place, lot in in_bins.values_list(
            "pk", "quantity", "part_id", "place_id", "lot_id"
        )
        if (part, place, lot) not in busy
    ]
    values = _yearly_values(today)
    last, moved, left = _last_counts(), _moved(now), _reports_left()
    found = []
    for pk, quantity, key in rows:
        count = last.get(key)
        days, lines = moved.get(key, {}), left.get(key, [])
        found.append(
            Countable(
                key=pk,
                part=key[0],
                yearly_value=values.get(key[0], Decimal(0)),
                pieces=quantity,
                counted_on=count.on if count else None,
                last_difference=count.difference if count else 0,
                moved=sum(times for day, times in days.items() if not count or day > count.on),
                reported=sum(not count or line > count.line for line in lines),
            )
        )
    return found


def _busy() -> set[Key]:
    """What is on an open round, or has a correction waiting."""
    lines = CountLine.objects.filter(state__in=UNSETTLED_STATES)
    waiting = Correction.objects.filter(state=Correction.State.ASKED)
    keys = ("part_id", "place_id", "lot_id")
    return {*lines.values_list(*keys), *waiting.values_list(*keys)}


def _yearly_values(today: date) -> dict[int, Decimal]:
    """What twelve months' demand of each part is worth: at its average cost, else at its price."""
    since = (today.replace(day=1) - timedelta(days=364)).replace(day=1)
    sold = monthly(None, since, today + timedelta(days=1))
    demand = {part: sum(months.values()) for part, months in sold.items()}
    costs = {
        part: (value, on_hand)
        for part, value, on_hand in Stock.objects.filter(on_hand__gt=0, value__gt=0).values_list(
            "part_id", "value", "on_hand"
        )
    }
    prices = dict(Part.objects.order_by().values_list("pk", "price"))
    return {
        part: at_average(*costs[part], quantity) if part in costs else rounded(prices[part] * quantity)
        for part, quantity in demand.items()
    }


def _last_counts() -> dict[Key, LastCount]:
    settled = CountEntry.objects.filter(line__state__in=[CountLine.State.AGREES, CountLine.State.CORRECTED])
    latest = settled.order_by().values("line__part", "line__place", "line__lot").annotate(last=Max("pk"))
    rows = CountEntry.objects.filter(pk__in=latest.values("last")).values_list(
        "line__part_id", "line__place_id", "line__lot_id", "counted_at", "found", "expected", "line_id"
    )
    return {
        (part, place, lot): LastCount(timezone.localdate(at), found - expected, line)
        for part, place, lot, at, found, expected, line in rows
    }


def _moved(now: datetime) -> dict[Key, dict[date, int]]:
    """How many movements touched each bin, by day, of late."""
    found: dict[Key, dict[date, int]] = defaultdict(lambda: defaultdict(int))
    recent = Movement.objects.filter(at__gt=now - timedelta(days=WATCHED_DAYS))
    for side in ("origin", "destination"):
        of_bins = recent.filter(**{f"{side}__kind": Place.Kind.BIN}).annotate(day=TruncDate("at"))
        rows: Iterable[tuple[int, int, int | None, date, int]] = (
            of_bins.order_by().values_list("part_id", f"{side}_id", "lot_id", "day").annotate(Count("pk"))
        )
        for part, place, lot, day, times in rows:
            found[part, place, lot][day] += times
    return found


def _reports_left() -> dict[Key, list[int]]:
    """The lines of what somebody found too few of, and that were left uncounted."""
    found: dict[Key, list[int]] = defaultdict(list)
    left = CountLine.objects.filter(state=CountLine.State.LEFT, round__why=ASKED_BY_FLOOR)
    for pk, part, place, lot in left.values_list("pk", "part_id", "place_id", "lot_id"):
        found[part, place, lot].append(pk)
    return found
