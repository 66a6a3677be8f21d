"""How many whole kits could ship, what stands in the way of more, and what one more of them lacks."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Final

from django.utils import timezone

from inventory.models import Part
from inventory.planning import (
    Bottleneck,
    KitPlan,
    PlanningError,
    Template,
    bottlenecks,
    missing_for,
    most_kits,
    most_of_each,
    most_together,
)
from inventory.promising import availability
from kits.buildable import Buildable, StandIn, buildable

DAYS_AHEAD: Final = (0, 7, 14, 30)
KITS, MONEY = "kits", "money"
MOST: Final = (KITS, MONEY)
"""What there is to be most of: whole kits, or what their standard kits sell for together."""
_LEAST_PRICE: Final = Decimal("0.01")  # A kit that nobody has priced is built where it costs no other.
Stocked = Mapping[int, int]
"""How many of each part can be promised, by id."""


@dataclass(frozen=True)
class Short:
    """A part of which so many pieces more would do."""

    part: Part
    pieces: int


@dataclass(frozen=True)
class InTheWay:
    """`pieces` more of a part alone give `gained` more kits; a lesser number gives none."""

    part: Part
    pieces: int
    gained: int

    @property
    def said(self) -> str:
        """'3 more of Corran CP-104 pump pulley give 2 more kits'."""
        kits = "1 more kit" if self.gained == 1 else f"{self.gained} more kits"
        return f"{self.pieces} more of {self.part} {'gives' if self.pieces == 1 else 'give'} {kits}"


@dataclass(frozen=True)
class Counted:
    """One conversion: `alone` if the shelves were for it alone, `together` in the plan of most kits.

    `stand_ins` of that plan with how many kits have each; `in_the_way` and `lacks` are of the conversion
    alone: of which part more alone gives more, and everything that one more kit lacks.
    """

    conversion: Buildable
    alone: int
    together: int
    stand_ins: tuple[tuple[StandIn, int], ...]
    in_the_way: tuple[InTheWay, ...]
    lacks: tuple[Short, ...]


@dataclass(frozen=True)
class HowMany:
    """All conversions on one day; `in_the_way`: of which part more alone gives more of all together.

    `most` says what the plan has most of. What is in the way is told in kits all the same.
    """

    on: date
    most: str
    counted: tuple[Counted, ...]
    in_the_way: tuple[InTheWay, ...]

    @property
    def kits(self) -> tuple[int, ...]:
        """Of each conversion in the plan."""
        return tuple(one.together for one in self.counted)

    @property
    def together(self) -> int:
        """The kits of all conversions at once."""
        return sum(self.kits)

    @property
    def price(self) -> Decimal:
        """What they sell for, each at the price of its standard kit."""
        return sum((one.together * one.conversion.price for one in self.counted), Decimal("0.00"))

    @property
    def exact(self) -> bool:
        """False where some number is a limit only."""
        return all(one.conversion.exact for one in self.counted)


def stock_by_day(
    conversions: Sequence[Buildable], now: datetime, days: Sequence[date]
) -> dict[date, dict[int, int]]:
    """What can be promised of every part of the conversions, in order of parts, on each of the days."""
    parts = set[int]().union(*(one.parts for one in conversions))
    steps = availability(parts, now)
    return {
        day: {part: max(steps[part].at(day), 0) if part in steps else 0 for part in sorted(parts)}
        for day in days
    }


def count_kits(conversions: Sequence[Buildable], stock: Stocked, most: str = KITS) -> tuple[int, ...]:
    """The kits of each, in the plan that has most of all together; of equals most of the first."""
    together = most_together(stock, _templates(conversions, most))
    return tuple(together.get(one.title, 0) for one in conversions)


@dataclass(frozen=True)
class Ahead:
    """How many kits of each conversion, in their order, could ship on a day."""

    on: date
    kits: tuple[int, ...]


@dataclass(frozen=True)
class Overview:
    """Everything about one day, and the kits of the days to come."""

    day: HowMany
    ahead: tuple[Ahead, ...]


def overview(
    now: datetime, template: str = "", engine: str = "", on: date | None = None, most: str = KITS
) -> Overview:
    """All released conversions, or those of a template or an engine, `on` a day, else today.

    `most` is one of MOST. Raises NoSuchConversion, and PlanningError for a day that is over.
    """
    today = timezone.localdate(now)
    day = on or today
    if day < today:
        raise PlanningError(f"{day} is over: ask for today or a day to come.")
    conversions = buildable(template, engine)
    days = [today + timedelta(ahead) for ahead in DAYS_AHEAD]
    stock = stock_by_day(conversions, now, [day, *days])
    found = how_many(conversions, stock[day], day, most)
    # On most days nothing comes and nothing leaves: what is the same is counted once.
    known = {tuple(stock[day].values()): found.kits}
    for one in days:
        here = tuple(stock[one].values())
        if here not in known:
            known[here] = count_kits(conversions, stock[one], most)
    return Overview(found, tuple(Ahead(one, known[tuple(stock[one].values())]) for one in days))


def how_many(conversions: Sequence[Buildable], stock: Stocked, on: date, most: str = KITS) -> HowMany:
    """Everything about one day, in the plan that has most kits, or is worth most money."""
    together = most_kits(stock, _templates(conversions, most))
    found = [_alone(one, stock) for one in conversions]
    of_all = bottlenecks(stock, _templates(conversions), most=together.kits if most == KITS else None)
    used = {one.part for one in of_all} | {part for _, ways, lacks in found for part in _parts(ways, lacks)}
    parts = Part.objects.select_related("maker").in_bulk(used)
    return HowMany(
        on,
        most,
        tuple(
            Counted(
                one,
                alone,
                together.kits.get(one.title, 0),
                _stand_ins(one, together),
                _told(ways, parts),
                tuple(Short(parts[part], pieces) for part, pieces in lacks.items()),
            )
            for one, (alone, ways, lacks) in zip(conversions, found, strict=True)
        ),
        _told(of_all, parts),
    )


_Alone = tuple[int, tuple[Bottleneck, ...], dict[int, int]]


def _alone(one: Buildable, stock: Stocked) -> _Alone:
    if not one.slots:
        return 0, (), {}
    [template] = templates = _templates([one])
    alone = most_of_each(stock, templates)
    one_more = {template.name: alone[template.name] + 1}
    ways = bottlenecks(stock, templates, most=alone)
    return alone[template.name], ways, missing_for(stock, templates, one_more)


def _templates(conversions: Sequence[Buildable], most: str = KITS) -> list[Template]:
    """Those that have a kit at all."""
    return [
        Template(one.title, one.slots, max(one.price, _LEAST_PRICE) if most == MONEY else 1)
        for one in conversions
        if one.slots
    ]


def _parts(ways: Sequence[Bottleneck], lacks: Mapping[int, int]) -> set[int]:
    return {one.part for one in ways} | set(lacks)


def _told(ways: Sequence[Bottleneck], parts: Mapping[int, Part]) -> tuple[InTheWay, ...]:
    return tuple(InTheWay(parts[one.part], one.pieces, int(one.gained)) for one in ways)


def _stand_ins(one: Buildable, plan: KitPlan) -> tuple[tuple[StandIn, int], ...]:
    """How many kits of the plan have each; what stands at several places is one."""
    times: dict[StandIn, int] = {}
    for (slot, place), stand_in in one.stand_ins.items():
        built = plan.fillings[one.title, slot][place]
        if built:
            times[stand_in] = times.get(stand_in, 0) + built
    return tuple(times.items())
