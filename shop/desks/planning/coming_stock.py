"""What is here, what is kept of it, what comes and what will be asked for: the stock of one part to come."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from inventory.models import Target
from inventory.planning.demand import Calendar
from inventory.supplying import Coming, known_of
from inventory.targeting import PartForecast

from .expected import asked_of
from .projecting import Asked, Change, Level, Projection, project
from .projection_chart import Inbound

WEEK = 7


@dataclass(frozen=True)
class StockToCome:
    """`kept` of what is on hand leaves on some day or other; `coming` brings pieces, of which some are kept.

    `position` is what a target is held against: free now, and to come and kept for nobody.
    """

    on_hand: int
    kept: int
    coming: tuple[Coming, ...]
    projection: Projection

    @property
    def free(self) -> int:
        return self.on_hand - self.kept

    @property
    def to_come(self) -> int:
        return sum(one.arrival.quantity for one in self.coming)

    @property
    def position(self) -> int:
        return self.free + sum(one.left for one in self.coming)

    @property
    def inbound(self) -> list[Inbound]:
        """By the day that it is counted on."""
        found = [Inbound(one.on, one.arrival.quantity, one.line.order.number) for one in self.coming]
        return sorted(found, key=lambda one: one.day)

    @property
    def weeks(self) -> list[Level]:
        """A level a week from today on, for a table."""
        return list(self.projection.levels[::WEEK])


def stock_to_come(part_id: int, forecast: PartForecast | None, now: datetime, ahead: int) -> StockToCome:
    """The levels from today to the end of the forecast; a few queries, true by the clock.

    Where nothing is forecast they go on for `ahead` months, with what is kept and what comes.
    """
    known = known_of([part_id], now)
    comes = [Change(one.on, one.arrival.quantity) for one in known.coming]
    leaves = [Change(day, -quantity) for _, day, quantity in known.takings()]
    asked = asked_of(forecast) if forecast else _nothing(known.today, ahead)
    return StockToCome(
        known.on_hand[part_id],
        known.kept[part_id],
        tuple(known.coming),
        project(known.on_hand[part_id], [*comes, *leaves], asked, known.today),
    )


def _nothing(today: date, ahead: int) -> list[Asked]:
    calendar = Calendar("month")
    first = calendar.number(today)
    return [Asked(calendar.first_day(first + month), 0.0, 0.0) for month in range(ahead)]


def levels_of(target: Target | None) -> tuple[int, int] | None:
    """When to order and up to how many; None without a target, or where nothing is to be ordered any more."""
    return (target.reorder_at, target.up_to) if target is not None and target.up_to else None


def runs_out_in_words(projection: Projection, today: date, *, forecast: bool) -> str:
    """When it runs out, and how sure that is; `forecast`: whether anything is."""
    last = projection.levels[-1].day
    if projection.runs_out is None:
        if not forecast:
            return "Nothing is forecast: here is only what is kept and what comes."
        said = f"As likely as not it lasts beyond {last}"
        return (
            f"{said}; in 1 case of 10 it has run out by {projection.soonest}."
            if projection.soonest
            else f"{said}."
        )
    if projection.runs_out <= today:
        return "Nothing is there that is kept for nobody."
    if not forecast:
        return f"What is kept takes the last of it on {projection.runs_out}. Nothing is forecast."
    said = (
        f"As likely as not it has run out by {projection.runs_out}; in 1 case of 10 by {projection.soonest}, "
    )
    said += f"in 9 by {projection.latest}." if projection.latest else f"in 9 not before {last}."
    if projection.missing:
        said += f" At the worst {projection.missing} are missing."
    return said
