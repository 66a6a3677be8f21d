"""The past demand of one part by month or week, its predecessors' included: for looking at."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from datetime import date
from math import isnan

from django.db.models import Sum

from inventory.demand import known_demand
from inventory.demand.reading import superseded
from inventory.models import Demand, MonthlyDemand, Part
from inventory.planning.demand import Calendar, Total, last_successors, series

from .sorts import Column, Shown, Sort, sort_of

MONTHS = 12


def past_of(part: Part, shown: Shown, today: date) -> list[Column]:
    """From the first period with a demand, but no more than `shown.back` months ago, to today's.

    Empty where nothing was ever asked for. A superseded part has the columns of its own demand, and nothing
    is counted for it: its successor's forecast has it.
    """
    calendar = Calendar(shown.every)
    ends = last_successors(superseded(today))
    ids = line_of(part, ends)
    first = calendar.number(_months_back(today, shown.back))
    last = calendar.number(today)
    found: dict[int, Counter[Sort]] = defaultdict(Counter)
    _add_events(found, ids, ends, calendar, shown, calendar.first_day(first))
    _add_totals(found, ids, calendar, calendar.first_day(first), today)
    if not found:
        return []
    counted = _counted(part, shown, calendar, today)
    return [
        Column(calendar.first_day(number), found[number], counted.get(calendar.first_day(number)))
        for number in range(max(first, min(found)), last + 1)
    ]


def line_of(part: Part, ends: Mapping[int, int]) -> list[int]:
    """The part and all that it came in place of; `ends` says which part is the last of whose line."""
    if part.pk in ends:
        return [part.pk]
    return [part.pk, *(old for old, end in ends.items() if end == part.pk)]


def _months_back(today: date, back: int) -> date:
    number = today.year * MONTHS + today.month - 1 - back
    return date(number // MONTHS, number % MONTHS + 1, 1)


def _add_events(
    found: dict[int, Counter[Sort]],
    ids: Sequence[int],
    ends: Mapping[int, int],
    calendar: Calendar,
    shown: Shown,
    since: date,
) -> None:
    """Each on its own day, also what came back. No part stands in for another of its own line."""
    rows = (
        Demand.objects.filter(part_id__in=ids, day__gte=since)
        .order_by()
        .values_list("part_id", "day", "kind", "one_off", "first_choice_id")
        .annotate(Sum("quantity"))
    )
    for part, day, kind, one_off, first_choice, quantity in rows:
        stand_in = first_choice is not None and ends.get(first_choice, first_choice) != ends.get(part, part)
        if shown.lets(kind, one_off=one_off, stand_in=stand_in):
            sort = sort_of(kind, one_off=one_off, stand_in=stand_in)
            found[calendar.number(day)][sort] += quantity


def _add_totals(
    found: dict[int, Counter[Sort]], ids: Sequence[int], calendar: Calendar, since: date, today: date
) -> None:
    """Months from before the book of demand, by weeks spread over their days as forecasts have them."""
    rows = MonthlyDemand.objects.filter(part_id__in=ids, month__gte=since.replace(day=1), quantity__gt=0)
    totals = [Total(0, month, quantity) for month, quantity in rows.values_list("month", "quantity")]
    if not totals:
        return
    after = calendar.first_day(calendar.number(today) + 1)
    laid = series([], {0: since}, after, every=calendar.every, totals=totals)
    for start, quantity in zip(laid.periods, laid.values[0].tolist(), strict=True):
        if quantity > 0 and start >= since:
            found[calendar.number(start)][Sort.BEFORE] += int(quantity)


def _counted(part: Part, shown: Shown, calendar: Calendar, today: date) -> dict[date, int]:
    known = known_demand(
        today,
        every=calendar.every,
        part_ids=[part.pk],
        lost=shown.lost,
        one_offs=shown.one_offs,
        stand_ins=shown.stand_ins,
    )
    if part.pk not in known.parts:
        return {}
    row = known.values[known.parts.index(part.pk)].tolist()
    # NaN stands before the part was on sale.
    return {
        start: int(quantity)
        for start, quantity in zip(known.periods, row, strict=True)
        if not isnan(quantity)
    }
