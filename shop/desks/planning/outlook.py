"""Before anything is set: what a wanted share or a budget would come to, beside what there is now.

All of it is reckoned anew, as a run would, and nothing is written. In a shop of very many parts that takes a
minute or more, so a page asks for it by itself.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from functools import cached_property

from inventory.models import Part, Target, TargetRun
from inventory.planning.kit_targets import (
    KitDemand,
    KitPart,
    kit_shares,
    ordered_so,
    tied_up,
    together,
)
from inventory.targeting.kits_wanted import Wanted, kits_wanted
from inventory.targeting.plan import Plan, made
from inventory.targeting.recommended import Recommended
from inventory.targeting.telling import silent
from inventory.targeting.whole_kits import KitsFound, as_bought, for_kits
from kits.models import KitTemplate

from .frontier_chart import Point, Standing
from .reasons import Change, change_of

# Order at, up to.
Levels = tuple[int, int]
NOT_KEPT: Levels = (0, 0)


@dataclass(frozen=True)
class Taken:
    """One of the things that may fill a place in a kit: in which share of the kits sold, and how many."""

    share: float
    parts: tuple[tuple[Part, int], ...]


@dataclass(frozen=True)
class KitRow:
    """A template: how many sell a year, what they take, and the shares that ship complete, 0 to 1."""

    code: str
    name: str
    a_year: float
    takes: tuple[Taken, ...]
    now: float
    then: float


@dataclass(frozen=True)
class PartRow:
    """A part's levels now (None without a target) and then, and the money that the new ones tie up.

    `found` is what a run would set, which for those kept by hand is not what there will be.
    """

    part: Part
    now: Levels | None
    then: Levels
    money: Decimal
    by_hand: bool
    found: Levels
    why: tuple[str, ...]
    one_more: Change | None
    one_fewer: Change | None

    @property
    def changes(self) -> bool:
        return self.now != self.then


@dataclass(frozen=True)
class Outlook:
    """All shares are of whole kits, by how many of each are sold."""

    kits: list[KitRow]
    parts: list[PartRow]
    frontier: list[Point]
    now: Point
    then: Point
    found: Point
    equal: Point
    note: str

    @property
    def standings(self) -> list[Standing]:
        by_hand = any(row.by_hand for row in self.parts)
        named = [
            Standing("diamond", "what you want", self.then),
            Standing("square", "the targets of now", self.now),
            Standing("triangle", "each part by itself", self.equal),
        ]
        return [*named, Standing("cross", "with nothing kept by hand", self.found)] if by_hand else named


def outlook(wanted: Decimal, budget: Decimal | None, now: datetime) -> Outlook | None:
    """What a run would find; None where no kit is sold of which parts are bought.

    Raises PlanningError where what is wanted cannot be.
    """
    # Never saved: it says what is wanted, and when.
    run = TargetRun(started_at=now, wanted=wanted, budget=budget)
    plan = made(run, silent)
    kits = kits_wanted(plan)
    found = for_kits(run, plan, kits, silent)
    return None if found is None else _Telling(plan, kits, found).outlook()


@dataclass(frozen=True)
class _ComesTo:
    """By kit the share complete, by part the cents tied up, and both of all together."""

    shares: dict[str, float]
    cents: dict[int, int]
    point: Point


class _Telling:
    """Puts what was found beside what there is."""

    def __init__(self, plan: Plan, wanted: Wanted, found: KitsFound) -> None:
        self.plan, self.wanted, self.found = plan, wanted, found
        self.parts: list[KitPart[int]] = as_bought(wanted, plan)
        self.targets = {one.part_id: one for one in Target.objects.filter(part__in=wanted.parts)}
        self.named = Part.objects.select_related("maker").in_bulk(wanted.parts)

    def outlook(self) -> Outlook:
        found = {part: one.levels for part, one in self._found.items()}
        levels_then = {part: self._then(part) for part in found}
        now = self._come_to({part: self._levels_now(part) or NOT_KEPT for part in found})
        then = self._come_to(levels_then)
        alone = self._come_to({part: _pair(one.figures["alone"]) for part, one in self._found.items()})
        return Outlook(
            self._kits(now, then),
            sorted((self._part(part, then.cents[part]) for part in found), key=_dearest),
            [Point(float(amount), share) for amount, share in self.found.frontier],
            now.point,
            then.point,
            then.point if found == levels_then else self._come_to(found).point,
            alone.point,
            self.found.note,
        )

    def _come_to(self, orders: Mapping[int, Levels]) -> _ComesTo:
        """What it comes to if each part is ordered by these figures."""
        parts, levels = ordered_so(self.parts, orders, self.plan.packs)
        shares = kit_shares(parts, self.wanted.kits, levels)
        cents = tied_up(parts, self.wanted.kits, levels)
        point = Point(sum(cents.values()) / 100, together(shares, self.wanted.kits).estimate)
        return _ComesTo({name: share.estimate for name, share in shares.items()}, cents, point)

    def _levels_now(self, part: int) -> Levels | None:
        target = self.targets.get(part)
        return (target.reorder_at, target.up_to) if target else None

    def _by_hand(self, part: int) -> bool:
        target = self.targets.get(part)
        return target is not None and target.set_by == Target.SetBy.HAND

    def _then(self, part: int) -> Levels:
        """What is set by hand stays."""
        now = self._levels_now(part)
        return now if now and self._by_hand(part) else self._found[part].levels

    def _kits(self, now: _ComesTo, then: _ComesTo) -> list[KitRow]:
        names = dict(KitTemplate.objects.values_list("code", "name"))
        rows = [
            KitRow(
                kit.name,
                names.get(kit.name, kit.name),
                kit.a_year,
                tuple(self._takes(kit)),
                now.shares[kit.name],
                then.shares[kit.name],
            )
            for kit in self.wanted.kits
        ]
        return sorted(rows, key=lambda row: -row.a_year)

    def _takes(self, kit: KitDemand[int]) -> list[Taken]:
        """The most taken first."""
        found = [
            Taken(option.take_rate, tuple((self.named[part], many) for part, many in option.parts.items()))
            for slot in kit.slots
            for option in slot
        ]
        return sorted(found, key=lambda one: -one.share)

    def _part(self, part: int, cents: int) -> PartRow:
        one = self._found[part]
        return PartRow(
            self.named[part],
            self._levels_now(part),
            self._then(part),
            Decimal(cents).scaleb(-2),
            self._by_hand(part),
            one.levels,
            one.why,
            change_of(one.figures.get("one_more")),
            change_of(one.figures.get("one_fewer")),
        )

    @cached_property
    def _found(self) -> dict[int, Recommended]:
        return {one.part_id: one for one in self.found.targets}


def _pair(levels: Mapping[str, int]) -> Levels:
    return levels["reorder_at"], levels["up_to"]


def _dearest(row: PartRow) -> tuple[Decimal, str]:
    return -row.money, row.part.number
