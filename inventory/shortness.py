"""The refusal that not everything can be kept: what is short of it, and until when."""

from collections.abc import Mapping
from datetime import datetime

from .acting import ActError
from .models import Part, Reservation, Stock
from .promising import promise


class Short(ActError):
    """Not everything can be kept, so nothing is. `details["lines"]` says what is short, and until when."""

    code = "short"


def must_exist(wants: Mapping[int, int]) -> None:
    """Refuse wants of nothing, and of parts that there are not."""
    if not wants or min(wants.values()) < 1:
        raise ActError("Name at least one part, and at least one piece of each.", code="nothing-wanted")
    known = set(Part.objects.filter(pk__in=list(wants)).values_list("pk", flat=True))
    if unknown := sorted(set(wants) - known):
        raise ActError(f"There is no part with id {unknown}.", code="no-such-part", parts=unknown)


def short(
    wants: Mapping[int, int],
    missing: Mapping[int, int],
    stocks: Mapping[int, Stock],
    now: datetime,
    but: Reservation | None = None,
) -> Short:
    """The refusal of `wants`, of which `missing` cannot be kept, with the day on which each could be.

    What the reservation `but` keeps, which would keep `wants` from now on, counts as free for it.
    """
    own = dict(but.lines.filter(purchase_line=None).values_list("part", "quantity")) if but else {}
    parts = Part.objects.select_related("maker").in_bulk(list(missing))
    days = {line.part_id: line.on for line in promise(wants, now, but).lines}
    lines, said = [], []
    for part_id in sorted(missing):
        part, stock, on = parts[part_id], stocks[part_id], days[part_id]
        here = stock.on_hand - stock.held - stock.committed + own.get(part_id, 0)
        lines.append(
            {
                "part": part_id,
                "number": part.number,
                "name": part.name,
                "wanted": wants[part_id],
                "free": here,
                "on": on.isoformat() if on else None,
            }
        )
        when = f"all of it by {on:%-d %b %Y}" if on else "nobody offers it"
        said.append(f"{wants[part_id]} x {part} wanted, {here} free ({when})")
    refused = "changed, because not all of it can be kept" if but else "kept, because not all of it can be"
    return Short(f"Nothing was {refused}: {'; '.join(said)}.", lines=lines)
