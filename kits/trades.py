"""Sooner or with less changed: the trades of date against price that a kit still leaves open."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta

from kits.costed import BROUGHT, NEVER
from kits.solver import Contradiction, OutOfTime, Point, frontier
from kits.ways import WayOut
from kits.whole_kits import WholeKits


@dataclass(frozen=True)
class Trade:
    """The best whole kit that is there by a day: none is there sooner that is as good.

    `way` says what follows in it, its price and its day; `minutes` is the bench time of its shop works.
    """

    way: WayOut
    minutes: int


def trades_of(whole: WholeKits) -> tuple[Trade, ...]:
    """Soonest first; what was chosen is in all of them. Empty where no whole kit has all of that.

    Empty, too, where they are not all known in time: some would be no list of what there is.
    """
    try:
        points = frontier(whole.kept.solver, whole.chosen, whole.costs, whole.days)
    except (Contradiction, OutOfTime):
        return ()
    return tuple(_trade(whole, point) for point in points if point.cost < BROUGHT)


def _trade(whole: WholeKits, point: Point) -> Trade:
    way = WayOut(
        changes=(),
        follows=whole.changed({code: str(key) for code, key in point.answer.items()}),
        difference=whole.difference(point.cost),
        ready_on=None if point.day >= NEVER else whole.today + timedelta(days=point.day),
        state=whole.state(point.cost),
    )
    return Trade(way, sum(whole.kept.minutes.get(chosen, 0) for chosen in point.answer.items()))
