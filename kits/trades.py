"""Sooner or with less changed: the trades of date against price that a kit still leaves open."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from kits.costed import BROUGHT, NEVER
from kits.solver import Contradiction, OutOfTime, Point, frontier
from kits.ways import State, Swapped
from kits.whole_kits import WholeKits


@dataclass(frozen=True)
class Trade:
    """The best whole kit that is there by a day: none is there sooner that is as good.

    `follows` are the slots that it changes, `difference` its price less that of the kit as it is, and
    `minutes` the bench time of its shop works. `ready_on` is None where some part has no date.
    """

    ready_on: date | None
    difference: Decimal
    minutes: int
    state: State
    follows: tuple[Swapped, ...]


def trades_of(whole: WholeKits) -> tuple[Trade, ...]:
    """Soonest first; what was chosen is in all of them. Empty where no whole kit has all of that.

    OutOfTime is not raised: what is not known in time is left out as a whole.
    """
    try:
        points = frontier(whole.kept.solver, whole.chosen, whole.costs, whole.days)
    except (Contradiction, OutOfTime):
        return ()
    return tuple(_trade(whole, point) for point in points if point.cost < BROUGHT)


def _trade(whole: WholeKits, point: Point) -> Trade:
    minutes = whole.kept.minutes
    return Trade(
        ready_on=None if point.day >= NEVER else whole.today + timedelta(days=point.day),
        difference=whole.difference(point.cost),
        minutes=sum(minutes.get(chosen, 0) for chosen in point.answer.items()),
        state=whole.state(point.cost),
        follows=whole.changed({code: str(key) for code, key in point.answer.items()}),
    )
