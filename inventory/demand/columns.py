"""Demand of very many parts as columns: both tables, and what came back on the day of its sale."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Any, NamedTuple

from django.db.models import Case, IntegerField, Model, Q, QuerySet, Value, When
from django.db.models.functions import Coalesce

from inventory.in_columns import in_columns
from inventory.models import Demand, MonthlyDemand
from inventory.planning.demand.by_columns import EventColumns, TotalColumns
from inventory.planning.demand.laid_out import BACK, MISSED, ONE_OFF, OUT, STAND_IN

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Whole = NDArray[np.int64]

# More parts than this are not named to the database: all rows are read, and the others left out.
MOST_NAMED = 1000
Kind = Demand.Kind


@dataclass(frozen=True)
class Wanted:
    """Of which parts (None: of all), and of which days: from `since`, if given, to before `until`."""

    parts: frozenset[int] | None
    until: date
    since: date | None = None

    def rows(self, model: type[Model], day: str) -> QuerySet[Any]:
        """The rows of these days; of these parts only as far as they are few enough to be named."""
        asked = Q(**{f"{day}__lt": self.until})
        if self.since is not None:
            asked &= Q(**{f"{day}__gte": self.since})
        if self.parts is not None and len(self.parts) <= MOST_NAMED:
            asked &= Q(part__in=self.parts)
        return model._default_manager.filter(asked).order_by()

    def chosen(self, columns: list[Whole]) -> list[Whole]:
        """Of columns that begin with the part, the rows of these parts."""
        import numpy as np

        if self.parts is None or len(self.parts) <= MOST_NAMED:
            return columns
        mine = np.isin(columns[0], np.fromiter(self.parts, np.int64, len(self.parts)))
        return [column[mine] for column in columns]


def read_totals(wanted: Wanted) -> TotalColumns:
    """What was sold by month, before sales were kept one by one."""
    rows = wanted.rows(MonthlyDemand, "month")
    part, quantity, month = wanted.chosen(in_columns(rows, ["part_id", "quantity"], ["month"]))
    return TotalColumns(part, month, quantity)


def read_events(wanted: Wanted, ends: Mapping[int, int], known: date | None = None) -> EventColumns:
    """What was asked for one by one; what came back, if by the day `known`, on the day of its sale.

    `ends` says which part is the last of whose line: none stands in for another of its own line.
    """
    import numpy as np

    rows = (
        wanted.rows(Demand, "day")
        .exclude(kind=Kind.RETURN)
        .annotate(
            stream=Case(
                When(kind=Kind.LOST, then=Value(MISSED)), default=Value(OUT), output_field=IntegerField()
            ),
            instead_of=Coalesce("first_choice_id", 0),
            large=Case(When(one_off=True, then=Value(1)), default=Value(0), output_field=IntegerField()),
        )
    )
    names = ["part_id", "quantity", "stream", "instead_of", "large"]
    back = np.array(list(_came_back(wanted, known)), np.int64).reshape(-1, 6).T
    read = [np.concatenate(both) for both in zip(in_columns(rows, names, ["day"]), back, strict=True)]
    part, quantity, stream, instead_of, large, day = wanted.chosen(read)
    stands_in = (instead_of > 0) & (_last(instead_of, ends) != _last(part, ends))
    return EventColumns(part, day, quantity, stream, STAND_IN * stands_in + ONE_OFF * large)


def _last(parts: Whole, ends: Mapping[int, int]) -> Whole:
    """Each part, or the last of its line."""
    import numpy as np

    if not ends:
        return parts
    olds = np.array(sorted(ends), np.int64)
    news = np.array([ends[old] for old in sorted(ends)], np.int64)
    at = np.minimum(np.searchsorted(olds, parts), len(olds) - 1)
    return np.where(olds[at] == parts, news[at], parts)


class _Sale(NamedTuple):
    """What tells a sale from others, and a return of it: reference, part, first choice, one-off or not."""

    reference: str
    part: int
    first_choice: int | None
    one_off: bool


_SALE = ("reference", "part_id", "first_choice_id", "one_off")


def _came_back(wanted: Wanted, known: date | None) -> Iterable[tuple[int, int, int, int, int, int]]:
    """Returns as rows of the columns above, on the day of the sale; its own day where no record tells."""
    returns = Demand.objects.filter(kind=Kind.RETURN).order_by("day", "pk")
    if known is not None:
        returns = returns.filter(day__lte=known)
    if wanted.parts is not None and len(wanted.parts) <= MOST_NAMED:
        returns = returns.filter(part__in=wanted.parts)
    rows = list(returns.values_list(*_SALE, "quantity", "day"))
    sales = _sales(returns) if rows else {}
    for *marks, quantity, day in rows:
        sale = _Sale(*marks)
        left = quantity
        for one in reversed(sales.get(sale, [])):
            if one[0] <= day and (taken := min(left, one[1])):
                one[1] -= taken
                left -= taken
                yield _row(sale, taken, one[0])
        if left:
            yield _row(sale, left, day)


def _row(sale: _Sale, quantity: int, day: date) -> tuple[int, int, int, int, int, int]:
    return sale.part, quantity, BACK, sale.first_choice or 0, int(sale.one_off), day.toordinal()


def _sales(returns: QuerySet[Demand]) -> dict[_Sale, list[list[Any]]]:
    """What went out with the references of the returns: day and pieces, the earliest first."""
    sales: dict[_Sale, list[list[Any]]] = defaultdict(list)
    named = returns.exclude(reference="").order_by().values("reference")
    out = Demand.objects.filter(reference__in=named).exclude(kind__in=[Kind.RETURN, Kind.LOST])
    for *marks, day, quantity in out.order_by("day", "pk").values_list(*_SALE, "day", "quantity"):
        sales[_Sale(*marks)].append([day, quantity])
    return sales
