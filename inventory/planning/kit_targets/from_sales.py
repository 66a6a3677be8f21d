"""What is asked of each kit, from kits that were sold: how many a year, and which parts go in how often."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import TYPE_CHECKING, Generic, TypeVar

from inventory.planning.demand.calendar import Calendar
from inventory.planning.forecasting import forecast_many
from inventory.planning.steadying import steadied

from .asking import KitDemand, Need, Option, P

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

H = TypeVar("H", bound=Hashable)

MONTHS_A_YEAR = 12
# Orders in larger clumps than this are told better by marking them as not to come again.
MOST_CLUMPED = 10.0

# What one kit took of the parts that share a place: (part, pieces), in the order of the parts' names.
Outcome = tuple[tuple[P, int], ...]


@dataclass(frozen=True)
class KitSale(Generic[P]):
    """So many kits of a template, sold together; `parts` are the pieces in all of them.

    Of kits that were `lost`, asked for and not had, the parts are not known.
    """

    kit: str
    day: date
    kits: int
    parts: Mapping[P, int] = field(default_factory=dict)
    lost: bool = False


def kit_demands(
    sales: Iterable[KitSale[P]], until: date, *, same_place: Iterable[tuple[P, P]] = ()
) -> list[KitDemand[P]]:
    """The demand of each kit that is still expected to sell, by name, from the whole months before `until`'s.

    A kit's months count from its first sale; their forecast is that of any part, and so is how far they
    scatter, which becomes the kit's variance ratio. Parts that may go in one another's place are given in
    pairs: they make a choice, in which each thing that kits took there is an option with its share. Kits
    sold together that took both are taken apart evenly.
    """
    known = [sale for sale in sales if sale.day < until.replace(day=1) and sale.kits]
    by_kit: dict[str, list[KitSale[P]]] = defaultdict(list)
    for sale in known:
        by_kit[sale.kit].append(sale)
    names = sorted(name for name, of_kit in by_kit.items() if any(sale.parts for sale in of_kit))
    if not names:
        return []
    forecasts = steadied(forecast_many(_months(names, by_kit, until)))
    places = _Places(same_place)
    found = []
    for row, name in enumerate(names):
        a_month, ratio = float(forecasts.mean[row]), float(forecasts.dispersion[row])
        if a_month > 0:
            needs, choices = _slots([sale for sale in by_kit[name] if not sale.lost], places)
            if needs or choices:
                ratio = min(max(ratio, 1.0), MOST_CLUMPED)
                found.append(KitDemand(name, a_month * MONTHS_A_YEAR, needs, choices, ratio))
    return found


def _months(
    names: Sequence[str], by_kit: Mapping[str, Sequence[KitSale[P]]], until: date
) -> NDArray[np.float64]:
    """Kits by name and month, NaN before the first sale."""
    import numpy as np

    calendar = Calendar("month")
    stop = calendar.number(until)
    first = min(calendar.number(sale.day) for name in names for sale in by_kit[name])
    table = np.zeros((len(names), stop - first))
    for row, name in enumerate(names):
        for sale in by_kit[name]:
            table[row, calendar.number(sale.day) - first] += sale.kits
        table[row, : min(calendar.number(sale.day) for sale in by_kit[name]) - first] = np.nan
    return table


class _Places(Generic[H]):
    """Which parts belong to one place: all that are joined by pairs, over any number of others."""

    def __init__(self, pairs: Iterable[tuple[H, H]]) -> None:
        self._of: dict[H, H] = {}
        for one, other in pairs:
            self._of[self.of(one)] = self.of(other)

    def of(self, part: H) -> H:
        while (above := self._of.get(part, part)) != part:
            part = above
        return part


def _slots(
    sales: Sequence[KitSale[P]], places: _Places[P]
) -> tuple[dict[P, Need | int], list[list[Option[P]]]]:
    """Needs of parts that stand alone and always in the same number, and choices for all others."""
    taken: dict[P, Counter[Outcome[P]]] = defaultdict(Counter)
    kits = sum(sale.kits for sale in sales)
    for sale in sales:
        together: dict[P, dict[P, int]] = defaultdict(dict)
        for part, pieces in sale.parts.items():
            if pieces:
                together[places.of(part)][part] = pieces
        for place, parts in together.items():
            taken[place].update(one for one in apart(parts, sale.kits) if one)
    needs: dict[P, Need | int] = {}
    choices: list[list[Option[P]]] = []
    for place in sorted(taken, key=str):
        outcomes = sorted(taken[place].items(), key=str)
        (first, many), others = outcomes[0], outcomes[1:]
        if not others and len(first) == 1:
            needs[first[0][0]] = Need(first[0][1], many / kits)
        else:
            choices.append([Option(count / kits, dict(outcome)) for outcome, count in outcomes])
    return needs, choices


def apart(parts: Mapping[P, int], kits: int) -> list[Outcome[P]]:
    """What each of so many kits took, evenly as far as whole pieces go: one more of this, the next of that.

    Two kits with one of each of two parts took one each.
    """
    took: list[dict[P, int]] = [{} for _ in range(kits)]
    turn = 0
    for part, pieces in sorted(parts.items(), key=str):
        each, over = divmod(pieces, kits)
        for number in range(kits):
            if quantity := each + ((number - turn) % kits < over):
                took[number][part] = quantity
        turn += over
    return [tuple(one.items()) for one in took]
