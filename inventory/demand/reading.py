"""Past demand as planning wants it, read in a handful of statements however many parts there are."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import DateTimeField, OuterRef, Q, Subquery, Value
from django.db.models.functions import Coalesce, TruncDate

from inventory.in_columns import in_columns
from inventory.models import Movement, Part, Supersession
from inventory.planning.demand import Series, last_successors, series_of_columns
from inventory.planning.demand.by_columns import EventColumns, OnSale, TotalColumns
from inventory.planning.demand.calendar import Every

from .columns import MOST_NAMED, Wanted, read_events, read_totals


def known_demand(
    until: date,
    *,
    every: Every = "month",
    part_ids: Collection[int] | None = None,
    lost: bool = True,
    one_offs: bool = True,
    stand_ins: bool = True,
) -> Series[int]:
    """What was asked of each part in each whole period before `until`; rows by part id.

    Of all parts, if none are named. A superseded part has no row: its history is in that of the last of its
    line. A part is on sale since it was first asked for, had a month on record, or came into the shop; before
    that its row holds NaN. What came back lessens the period in which it was sold. `lost`, `one_offs` and
    `stand_ins` leave out, if False, what was asked for and not had, large orders that will not come again,
    and what went out in another part's place.
    """
    known = read(until, part_ids)
    return known.series(every, lost=lost, one_offs=one_offs, stand_ins=stand_ins)


@dataclass(frozen=True, eq=False)
class Known:
    """What was read once, to be laid out in more than one way."""

    events: EventColumns
    totals: TotalColumns
    on_sale: OnSale
    until: date
    successors: Mapping[int, int]

    def series(
        self, every: Every, *, lost: bool = True, one_offs: bool = True, stand_ins: bool = True
    ) -> Series[int]:
        """The table of it."""
        return series_of_columns(
            self.events,
            self.totals,
            self.on_sale,
            self.until,
            every=every,
            successors=self.successors,
            lost=lost,
            one_offs=one_offs,
            stand_ins=stand_ins,
        )


def read(until: date, part_ids: Collection[int] | None) -> Known:
    """All that is known by `until` of these parts and of those that they superseded."""
    successors = superseded(until)
    ends = last_successors(successors)
    wanted = Wanted(_with_predecessors(part_ids, ends), until)
    totals = read_totals(wanted)
    events = read_events(wanted, ends, known=until)
    return Known(events, totals, _on_sale(wanted, totals), until, successors)


def monthly(
    part_ids: Collection[int] | None, since: date, until: date, *, one_offs: bool = True
) -> dict[int, dict[date, int]]:
    """By part and first day of month what was sold, from the month of `since` to the day before `until`.

    What came back is taken off the month in which it was sold; asked for and not had is no sale. Months
    without a sale, and parts without any, are left out. No history is carried from part to part.
    """
    import numpy as np

    first = since.replace(day=1)
    if until <= first:
        return {}
    wanted = Wanted(None if part_ids is None else frozenset(part_ids), until, first)
    events, totals = read_events(wanted, {}), read_totals(wanted)
    parts = np.unique(np.concatenate([events.part, totals.part]))
    sale = OnSale(parts, np.full_like(parts, first.toordinal()))
    next_month = (until - timedelta(days=1)).replace(day=1) + timedelta(days=31)
    table = series_of_columns(events, totals, sale, next_month, lost=False, one_offs=one_offs)
    found: dict[int, dict[date, int]] = defaultdict(dict)
    for row, column in zip(*(each.tolist() for each in np.nonzero(table.values > 0)), strict=True):
        found[table.parts[row]][table.periods[column]] = int(table.values[row, column])
    return dict(found)


def superseded(by: date) -> dict[int, int]:
    """Each part that is superseded by that day, and by which.

    Of a line that comes back to itself the oldest step is left out: the part was taken up again.
    """
    steps = Supersession.objects.filter(since__lte=by).order_by("-since", "-pk")
    return _without_circles(steps.values_list("old", "new"))


def _without_circles(latest_first: Iterable[tuple[int, int]]) -> dict[int, int]:
    found: dict[int, int] = {}
    for old, new in latest_first:
        end = new
        while end in found:
            end = found[end]
        if end != old:
            found[old] = new
    return found


def predecessors(part_ids: Collection[int], by: date) -> dict[int, set[int]]:
    """By each of these parts that carries the history of others by that day, which those are.

    One statement where none of them does, and one for each step of the longest line else.
    """
    known = Supersession.objects.filter(since__lte=by)
    steps: dict[tuple[date, int], tuple[int, int]] = {}
    seen, fresh = set[int](), set(part_ids)
    while fresh:
        seen |= fresh
        rows = known.filter(Q(old__in=fresh) | Q(new__in=fresh)).order_by()
        steps |= {
            (since, pk): (old, new) for since, pk, old, new in rows.values_list("since", "pk", "old", "new")
        }
        fresh = {part for step in steps.values() for part in step} - seen
    ends = last_successors(_without_circles(step for _, step in sorted(steps.items(), reverse=True)))
    found: dict[int, set[int]] = defaultdict(set)
    for old, end in ends.items():
        found[end].add(old)
    return {part: found[part] for part in part_ids if part in found}


def _with_predecessors(part_ids: Collection[int] | None, ends: Mapping[int, int]) -> frozenset[int] | None:
    if part_ids is None:
        return None
    last = {part for part in part_ids if part not in ends}
    return frozenset(last.union(old for old, end in ends.items() if end in last))


def _on_sale(wanted: Wanted, totals: TotalColumns) -> OnSale:
    """Since when each part is known to be sold; what was asked for one by one may show that it was sooner."""
    import numpy as np

    parts = Part.objects.order_by()
    if wanted.parts is not None and len(wanted.parts) <= MOST_NAMED:
        parts = parts.filter(pk__in=wanted.parts)
    came = Movement.objects.filter(part=OuterRef("pk")).order_by("pk").values("at")[:1]
    seen = parts.annotate(
        since=Coalesce(TruncDate(Subquery(came, output_field=DateTimeField())), Value(wanted.until))
    )
    part, since = wanted.chosen(in_columns(seen, ["pk"], ["since"]))
    order = np.argsort(part)
    part, since = part[order], since[order]
    # A month on record shows that it was sold even where nothing was.
    np.minimum.at(since, np.searchsorted(part, totals.part), totals.month)
    return OnSale(part, since)
