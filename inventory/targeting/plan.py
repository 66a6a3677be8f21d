"""All that a run knows, read once: the parts, their demand and lead times, and what buying costs."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING

from django.conf import settings
from django.utils import timezone

from inventory.lead_times import Pair, lead_times
from inventory.models import Target, TargetRun
from inventory.planning.demand import abc
from inventory.planning.lead_times import LeadTime

from .asked import Asked, asked
from .bought import Bought, Fate, Terms, bought
from .telling import Tell

if TYPE_CHECKING:
    from collections.abc import Iterable

# What runs out is bought once more, for so many days of demand.
LAST_BUY_DAYS = 365


@dataclass(frozen=True)
class Rates:
    """What the shop wants and what things cost it; `holding` is a year's, of the price."""

    parts_from_stock: float
    order_cents: float
    holding: float

    @classmethod
    def of_the_shop(cls) -> Rates:
        return cls(
            float(settings.SHOP_PARTS_FROM_STOCK),
            float(settings.SHOP_ORDER_COST * 100),
            float(settings.SHOP_HOLDING_RATE),
        )


@dataclass(frozen=True, eq=False)
class Plan:
    """`over` has mean and variance of a month for each part as they are over the time it has to last for.

    `last_buys`: the day until which what runs out has been, or is now, bought for.
    """

    today: date
    parts: dict[int, Bought]
    asked: Asked
    leads: dict[Pair, LeadTime]
    over: dict[int, tuple[float, float]]
    classes: dict[int, str]
    last_buys: dict[int, date]
    rates: Rates

    def lead(self, part: Bought) -> LeadTime:
        return self.leads[_pair(part, _terms(part))]

    @property
    def packs(self) -> dict[int, int]:
        """How many pieces of each part come together."""
        return {part: one.terms.pack for part, one in self.parts.items() if one.terms}

    def protected_days(self, part: Bought) -> float:
        """The mean days that an order has to last for."""
        return self.lead(part).mean_days + _terms(part).review_days

    def life_days(self, part: Bought) -> float | None:
        """What is left of the time that the last buy of a part is for; None for a part that goes on."""
        ends = self.last_buys.get(part.part_id)
        return None if ends is None else float(max(0, (ends - self.today).days))


def made(run: TargetRun, tell: Tell) -> Plan:
    """The plan of a run. The day of its start is its today, so that it may be made again and be the same."""
    today = timezone.localdate(run.started_at)
    parts = bought(today)
    known = asked(today, tell)
    leads = lead_times(_pair(part, part.terms) for part in parts.values() if part.terms)
    last_buys = _last_buys(parts.values(), today)
    days = {}
    for part in reckoned(parts.values()):
        ends = last_buys.get(part.part_id)
        lasts = leads[_pair(part, _terms(part))].mean_days + _terms(part).review_days
        days[part.part_id] = lasts if ends is None else float((ends - today).days)
    over = known.over(days)
    return Plan(today, parts, known, leads, over, _classes(parts, known), last_buys, Rates.of_the_shop())


def reckoned(parts: Iterable[Bought]) -> list[Bought]:
    """Those that are reckoned from their demand; the others are not bought any more, whatever it is."""
    return [part for part in parts if part.terms and part.fate in (Fate.GOES_ON, Fate.RUNS_OUT)]


def _pair(part: Bought, terms: Terms) -> Pair:
    return terms.supplier_id, part.part_id


def _terms(part: Bought) -> Terms:
    assert part.terms is not None, "Only what somebody offers is reckoned."
    return part.terms


def _classes(parts: dict[int, Bought], known: Asked) -> dict[int, str]:
    """A, B or C by the money that a part turns over in a year."""
    import numpy as np

    some = reckoned(parts.values())
    means = known.forecasts.mean[[known.row_of[part.part_id] for part in some]]
    cents = np.array([float(_terms(part).price) * 100 for part in some])
    found = abc(means * 12 * cents).tolist() if some else []
    return {part.part_id: letter for part, letter in zip(some, found, strict=True)}


def _last_buys(parts: Iterable[Bought], today: date) -> dict[int, date]:
    """Until when each part that runs out is bought for: as an earlier run has written, or a year from now."""
    end = today + timedelta(days=LAST_BUY_DAYS)
    found = {part.part_id: end for part in parts if part.fate is Fate.RUNS_OUT}
    known = Target.objects.filter(part__in=found, figures__has_key="last_buy").order_by()
    for part, figures in known.values_list("part", "figures"):
        found[part] = date.fromisoformat(figures["last_buy"]["until"])
    return found
