"""Which kits went out or were asked for in vain, with which parts; and what a new part may borrow of that."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from statistics import mean

from django.db.models import QuerySet, Sum

from inventory.models import Demand, Part

Kind = Demand.Kind


@dataclass(frozen=True)
class KitSold:
    """So many kits of a template, alike and together; `parts` are the pieces in all of them.

    Of kits that were asked for and not had only the parts are known that were missing. `one_off`: one of
    the lines is marked as a large order that will not come again.
    """

    kit: str
    reference: str
    day: date
    kits: int
    parts: dict[int, int]
    lost: bool
    one_off: bool = False


def kits_sold(until: date, months: int = 24) -> list[KitSold]:
    """The kits of the whole months before `until`'s and of what has passed of that, the earliest first.

    Kits of which every piece came back were not sold; of others all pieces count, for all were wanted.
    """
    rows = _rows(until, months)
    back: Counter[tuple[str, int]] = Counter()
    references = {row.reference for row in rows if row.reference}
    for reference, part, quantity in _returns(min((row.day for row in rows), default=until)):
        if reference in references:
            back[reference, part] += quantity
    together: dict[tuple[str, bool, str], list[Demand]] = defaultdict(list)
    for row in rows:
        together[row.reference or f"line {row.pk}", row.kind == Kind.LOST, row.kit].append(row)
    kits = (_kit_sold(lines) for lines in together.values())
    return [kit for kit in kits if kit.lost or _kept(kit, back)]


def _asked(until: date, months: int) -> QuerySet[Demand]:
    number = until.year * 12 + until.month - 1 - months
    since = date(number // 12, number % 12 + 1, 1)
    return Demand.objects.filter(day__gte=since, day__lt=until).exclude(kit="")


def _rows(until: date, months: int) -> list[Demand]:
    asked = _asked(until, months).filter(kind__in=[Kind.KIT, Kind.LOST])
    fields = ("id", "part_id", "day", "quantity", "kind", "one_off", "kit", "kits", "reference")
    return list(asked.only(*fields).order_by("day", "reference", "pk"))


def _returns(since: date) -> Iterable[tuple[str, int, int]]:
    returns = Demand.objects.filter(kind=Kind.RETURN, day__gte=since).exclude(kit="")
    return returns.order_by().values_list("reference", "part_id", "quantity")


def _kit_sold(lines: Sequence[Demand]) -> KitSold:
    parts: Counter[int] = Counter()
    for line in lines:
        parts[line.part_id] += line.quantity
    first = lines[0]
    return KitSold(
        kit=first.kit,
        reference=first.reference,
        day=first.day,
        kits=first.kits,
        parts=dict(parts),
        lost=first.kind == Kind.LOST,
        one_off=any(line.one_off for line in lines),
    )


def _kept(kit: KitSold, back: Counter[tuple[str, int]]) -> bool:
    return any(quantity > back[kit.reference, part] for part, quantity in kit.parts.items())


# A part, kits of the template a month, the share of them that take the part, pieces in a kit.
Slot = tuple[int, float, float, int]


def borrowed(part_ids: Collection[int], until: date, months: int = 24) -> list[Slot]:
    """What new parts may expect of the kits of the last whole months: the input of `borrowed_means`.

    The stock room knows no slots, but each has its first choice, known by kit and part. A new part may fill
    those whose first choice is of its category. Where it was taken already, its own share counts; else it
    is thought to be taken as often as the others that stood in there, on the average. Where nothing ever
    stood in, a new part has no custom to borrow.
    """
    first_of_month = until.replace(day=1)
    kits, places = Counter[str](), _places(first_of_month, months)
    for sold in kits_sold(first_of_month, months):
        if not sold.lost:
            kits[sold.kit] += sold.kits
    known = {first for _, first in places}
    categories = dict(Part.objects.filter(pk__in={*part_ids, *known}).values_list("pk", "category"))
    found: list[Slot] = []
    for part in part_ids:
        of_kit: dict[str, list[tuple[float, int]]] = defaultdict(list)
        for (kit, first), taken in places.items():
            if kits[kit] and categories[first] == categories.get(part):
                of_kit[kit].append(_share(part, first, taken, kits[kit]))
        for kit, shares in sorted(of_kit.items()):
            # Of several such places in a kit the part will fill one, and nobody can say which.
            share, pieces = mean(share for share, _ in shares), round(mean(pieces for _, pieces in shares))
            found.append((part, kits[kit] / months, min(1.0, share), max(1, pieces)))
    return found


# By the part that was taken: in how many kits, and how many pieces.
Taken = dict[int, tuple[int, int]]


def _places(until: date, months: int) -> dict[tuple[str, int], Taken]:
    """By kit and first choice who went there."""
    sold = _asked(until, months).filter(kind=Kind.KIT).order_by()
    found: dict[tuple[str, int], Taken] = defaultdict(dict)
    for part, first, kit, kits, quantity in sold.values_list("part", "first_choice", "kit").annotate(
        Sum("kits"), Sum("quantity")
    ):
        taken = found[kit, first or part]
        before = taken.get(part, (0, 0))
        taken[part] = (before[0] + kits, before[1] + quantity)
    return found


def _share(part: int, first: int, taken: Taken, kits: int) -> tuple[float, int]:
    """The share of kits that takes the part in this place, and the pieces that one kit takes there."""
    pieces = max(1, round(sum(n for _, n in taken.values()) / sum(n for n, _ in taken.values())))
    if part in taken:
        return taken[part][0] / kits, pieces
    others = [n / kits for other, (n, _) in taken.items() if other != first]
    return (mean(others) if others else 0.0), pieces
