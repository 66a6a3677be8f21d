"""The targets that are set now for the parts that kits need, and the frontier that the last run found."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from inventory.models import Target, TargetRun

from .frontier_chart import Point, Standing
from .reasons import Reasons


@dataclass(frozen=True)
class SetNow:
    """A target, and what its run wrote of it."""

    target: Target
    why: Reasons

    @property
    def money(self) -> Decimal:
        return self.why.money or Decimal(0)


def targets_of_kits() -> list[SetNow]:
    """Of all parts that kits need, also those set by hand; the dearest first."""
    targets = Target.objects.filter(figures__has_key="kits").select_related("part__maker")
    rows = [SetNow(target, Reasons.of(target)) for target in targets.order_by("part__number", "pk")]
    return sorted(rows, key=lambda row: -row.money)


def last_done() -> TargetRun | None:
    """The last run that came to its end."""
    return TargetRun.objects.filter(stage=TargetRun.Stage.DONE).select_related("by").first()


def frontier_of(run: TargetRun | None) -> list[Point]:
    return [Point(float(money), float(share)) for money, share in run.frontier] if run else []


def reached_by(run: TargetRun | None) -> list[Standing]:
    """Where the run came to, if it was for kits."""
    if run is None or run.reached is None or run.tied_up is None:
        return []
    return [Standing("diamond", "what it set", Point(float(run.tied_up), float(run.reached)))]
