"""Targets for whole kits: what a wanted share costs, what is set now, and the runs that set it."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property
from typing import Any, ClassVar

from django.conf import settings
from django.contrib import messages
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone
from django.utils.safestring import SafeString, mark_safe

from inventory.acting import ActError
from inventory.models import TargetRun
from inventory.planning import PlanningError
from inventory.targeting import start, take_up, unfinished
from kits.picturing.strokes import WIDTH
from shop.desks.charts import WIDE
from shop.desks.page import DeskPage, Sheet
from shop.desks.typed import whole

from .aims import Aim, aim_from
from .frontier_chart import Point, Standing, draw_frontier
from .outlook import Outlook, outlook
from .set_now import frontier_of, last_done, reached_by, targets_of_kits

RIGHTS = ("inventory.buy",)
RUNS_SHOWN = 8
PARTS_SHOWN = 25


class KitTargets(DeskPage):
    template_name = "desks/planning/kit_targets.html"
    rights = RIGHTS
    acts: ClassVar[tuple[str, ...]] = ("start", "take_up")

    def sheet(self) -> Sheet:
        return Sheet("Targets for whole kits", "3-6")

    def get(self, request: HttpRequest, **_: Any) -> HttpResponse:
        if request.GET.get("only") == "run":
            return render(request, "desks/planning/kit_run.html", how_far())
        try:
            self.looked_at  # noqa: B018  # Reads what was typed, and may refuse it.
        except ActError as refusal:
            self.looked_at = Looked(self.usual)
            return self.page(request, typed=request.GET, refusal=refusal)
        return self.page(request, typed=request.GET)

    @cached_property
    def usual(self) -> Aim:
        return Aim.of(TargetRun.objects.first())

    @cached_property
    def looked_at(self) -> Looked:
        """What the address asks for; after a refused form, nothing is looked at."""
        if self.request.method == "POST":
            return Looked(self.usual)
        aim = aim_from(self.request.GET, self.usual)
        return look(aim) if "look" in self.request.GET else Looked(aim)

    def do_start(self, typed: QueryDict) -> str:
        aim = aim_from(typed, self.usual)
        run = start(self.user, wanted=aim.wanted, budget=aim.budget)
        messages.success(self.request, f"Started: {run}, for {aim.words}.")
        return f"{reverse('kit-targets')}#run"

    def do_take_up(self, typed: QueryDict) -> str:
        """The worker at a run died."""
        run = take_up(self.user, get_object_or_404(TargetRun, pk=whole(typed, "run", "The run")))
        messages.success(self.request, f"The {run} goes on.")
        return f"{reverse('kit-targets')}#run"

    def context(self) -> dict[str, Any]:
        looked, last = self.looked_at, last_done()
        runs = list(TargetRun.objects.select_related("by")[:RUNS_SHOWN])
        rows = targets_of_kits()
        return {
            "aim": looked.aim,
            "looked": looked,
            "asked": looked.aim.address,
            **how_far(),
            "runs": runs,
            "last": last,
            "points": looked.points or frontier_of(last),
            "standings": looked.standings or reached_by(last),
            "drawings": drawn(looked.points or frontier_of(last), looked.standings or reached_by(last)),
            "rows": rows[:PARTS_SHOWN],
            "more": max(0, len(rows) - PARTS_SHOWN),
            "parts_from_stock": settings.SHOP_PARTS_FROM_STOCK,
        }


def how_far() -> dict[str, TargetRun | None]:
    """The run that is under way, and the last one; asked for again and again while one is."""
    return {"under_way": unfinished(), "latest": TargetRun.objects.first()}


class Looked:
    """What is aimed at and, if it was looked at, what that comes to or why it cannot be."""

    def __init__(self, aim: Aim, found: Outlook | None = None, cannot: str = "") -> None:
        self.aim, self.found, self.cannot = aim, found, cannot

    @property
    def points(self) -> list[Point]:
        return self.found.frontier if self.found else []

    @property
    def standings(self) -> list[Standing]:
        return self.found.standings if self.found else []

    @property
    def parts(self) -> dict[str, Any]:
        """The first ones, the dearest; and how many more there are."""
        rows = self.found.parts if self.found else []
        changed = sum(row.changes for row in rows)
        return {
            "rows": rows[:PARTS_SHOWN],
            "more": max(0, len(rows) - PARTS_SHOWN),
            "changed": changed,
            "all": len(rows),
        }


def look(aim: Aim) -> Looked:
    """Reckon it anew, writing nothing."""
    try:
        found = outlook(aim.wanted, aim.budget, timezone.now())
    except PlanningError as error:
        return Looked(aim, cannot=str(error))
    if found is None:
        return Looked(aim, cannot="No kit was sold in two years of which parts are bought.")
    return Looked(aim, found)


def drawn(points: Sequence[Point], standings: Sequence[Standing]) -> list[SafeString]:
    """For a desk and for a telephone; nothing where there is nothing to draw."""
    if not points and not standings:
        return []
    return [
        mark_safe(draw_frontier(points, standings, settings.SHOP_CURRENCY, tag=f"f{width}", width=width))  # noqa: S308  # its text is escaped in strokes
        for width in (WIDE, WIDTH)
    ]
