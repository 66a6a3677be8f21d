"""The demand of one part, period by period, with its kinds told apart."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, fields, replace
from datetime import date

from django.db.models import Sum

from inventory.models import Demand
from inventory.planning.demand import Calendar, last_successors
from inventory.planning.demand.by_columns import EventColumns
from inventory.planning.demand.calendar import Every

from .reading import Known, read, superseded
from .recording import WENT_OUT

Kind = Demand.Kind


@dataclass(frozen=True)
class PeriodOfDemand:
    """Pieces in the month or week that begins on `first_day`.

    `asked_for` is all of it: out in kits, loose, into the workshop and from before sales were kept one by
    one, less what came back of that, and what was asked for and not had. Of it `one_off` were in large
    orders that will not come again, `stand_in` in another part's place.
    """

    first_day: date
    in_kits: int
    loose: int
    work: int
    by_month: int
    came_back: int
    lost: int
    one_off: int
    stand_in: int
    asked_for: int


def told_apart(part_id: int, until: date, every: Every = "month") -> list[PeriodOfDemand]:
    """The whole periods before `until` since the part is on sale; with what it superseded, as it sold too.

    Nothing for a part that is superseded itself: its history is told with the last of its line.
    """
    import numpy as np

    known = read(until, [part_id])
    table = known.series(every)
    if not table.parts:
        return []
    asked_for = table.values[0]
    less = {
        "lost": asked_for - known.series(every, lost=False).values[0],
        "one_off": asked_for - known.series(every, one_offs=False).values[0],
        "stand_in": asked_for - known.series(every, stand_ins=False).values[0],
    }
    by_month = _by_month(known, every)
    out = _went_out(part_id, until, every)
    found = []
    for column, first_day in enumerate(table.periods):
        if not np.isnan(asked_for[column]):
            whole = {name: int(values[column]) for name, values in less.items()}
            gross = {kind: out[first_day, kind] for kind in WENT_OUT}
            earlier, asked = by_month.get(first_day, 0), int(asked_for[column])
            found.append(
                PeriodOfDemand(
                    first_day=first_day,
                    in_kits=gross[Kind.KIT],
                    loose=gross[Kind.LOOSE],
                    work=gross[Kind.WORK],
                    by_month=earlier,
                    came_back=sum(gross.values()) + earlier - (asked - whole["lost"]),
                    asked_for=asked,
                    **whole,
                )
            )
    return found


def _by_month(known: Known, every: Every) -> dict[date, int]:
    """What the months on record say by themselves."""
    import numpy as np

    nothing = EventColumns(*(np.zeros(0, np.int64) for _ in fields(EventColumns)))
    table = replace(known, events=nothing).series(every)
    values = np.nan_to_num(table.values[0]).tolist()
    return {first_day: int(pieces) for first_day, pieces in zip(table.periods, values, strict=True)}


def _went_out(part_id: int, until: date, every: Every) -> Counter[tuple[date, str]]:
    """By period and kind what went out, whatever came back of it."""
    line = [old for old, end in last_successors(superseded(until)).items() if end == part_id]
    rows = Demand.objects.filter(part__in=[part_id, *line], day__lt=until, kind__in=WENT_OUT).order_by()
    calendar = Calendar(every)
    found: Counter[tuple[date, str]] = Counter()
    for day, kind, quantity in rows.values_list("day", "kind").annotate(Sum("quantity")):
        found[calendar.first_day(calendar.number(day)), kind] += quantity
    return found
