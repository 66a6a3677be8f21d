"""What is planned of one part, and why: what was asked for, what will be, and the target that follows."""

from __future__ import annotations

from functools import cached_property
from typing import Any, ClassVar

from django.contrib import messages
from django.http import QueryDict
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils import timezone
from django.utils.safestring import SafeString, mark_safe

from inventory.acting import ActError
from inventory.demand import mark_one_off
from inventory.models import Alert, Demand, Part, Target
from inventory.targeting import PartForecast, forecast_of, leave_to_runs, set_by_hand
from kits.picturing.strokes import WIDTH
from shop.desks.buying.needs import Need, read_needs, with_names
from shop.desks.charts import WIDE
from shop.desks.page import DeskPage, Sheet
from shop.desks.typed import maybe_whole, needed, whole

from .asked_for import BACK, SWITCHES, as_asked, shown_by, switches_of
from .coming_stock import StockToCome, levels_of, runs_out_in_words, stock_to_come
from .expected import expected_by
from .history_chart import Expected, draw_history
from .large_orders import large_orders
from .past import past_of
from .plainly import METHODS, plainly
from .projection_chart import draw_projection
from .reasons import Reasons
from .sorts import Column, Shown, Sort

MONTHS_AHEAD = 6
RIGHTS = ("inventory.buy",)


class PlanOfPart:
    """What both the page and its files show of a part, read when it is first wanted."""

    def __init__(self, part: Part, shown: Shown) -> None:
        self.part, self.shown = part, shown
        self.now = timezone.now()
        self.today = timezone.localdate(self.now)

    @cached_property
    def columns(self) -> list[Column]:
        return past_of(self.part, self.shown, self.today)

    @cached_property
    def forecast(self) -> PartForecast | None:
        return forecast_of(self.part.pk, self.today, months=MONTHS_AHEAD)

    @cached_property
    def fan(self) -> list[Expected]:
        return expected_by(self.forecast, self.shown.every, self.today)

    @cached_property
    def stock(self) -> StockToCome:
        return stock_to_come(self.part.pk, self.forecast, self.now, MONTHS_AHEAD)

    @cached_property
    def target(self) -> Target | None:
        return Target.objects.filter(part=self.part).select_related("run").first()

    def history_drawing(self, tag: str, width: int) -> str:
        """Empty where there is nothing to draw."""
        if not self.columns and not self.fan:
            return ""
        return draw_history(self.columns, self.fan, self.shown.every, tag=tag, width=width)

    def stock_drawing(self, tag: str, width: int) -> str:
        stock = self.stock
        return draw_projection(stock.projection, stock.inbound, levels_of(self.target), tag=tag, width=width)


class PartPlan(DeskPage):
    template_name = "desks/planning/part_plan.html"
    rights = RIGHTS
    acts: ClassVar[tuple[str, ...]] = ("set", "leave", "one_off")

    def sheet(self) -> Sheet:
        return Sheet(f"Plan of {self.part.number}", f"3-5-{self.part.pk}")

    @cached_property
    def part(self) -> Part:
        parts = Part.objects.select_related("maker", "category", "superseded_by__new__maker")
        return get_object_or_404(parts, pk=self.kwargs["pk"])

    @cached_property
    def plan(self) -> PlanOfPart:
        return PlanOfPart(self.part, shown_by(self.request.GET))

    def here(self, anchor: str) -> str:
        """This page as it was looked at, so that a form does not lose what was asked for."""
        asked = as_asked(self.plan.shown)
        return f"{reverse('part-plan', args=[self.part.pk])}{f'?{asked}' if asked else ''}#{anchor}"

    def do_set(self, typed: QueryDict) -> str:
        target = set_by_hand(
            self.user,
            self.part,
            reorder_at=whole(typed, "reorder_at", "The stock at which to order", least=0),
            up_to=whole(typed, "up_to", "The stock up to which to order", least=0),
            most=maybe_whole(typed, "most", "What the shelf takes"),
            why=needed(typed, "why", "The reason"),
        )
        messages.success(
            self.request, f"Order at {target.reorder_at}, up to {target.up_to}. No run will change it."
        )
        return self.here("target")

    def do_leave(self, _typed: QueryDict) -> str:
        if self.plan.target is None:
            raise ActError("There is no target to leave to the runs.", code="no-target")
        leave_to_runs(self.user, self.plan.target)
        messages.success(self.request, "The next run will reckon it. Until then the levels stay as they are.")
        return self.here("target")

    def do_one_off(self, typed: QueryDict) -> str:
        """Whether a large order will come again."""
        demand = get_object_or_404(Demand, part=self.part, pk=whole(typed, "demand", "The order"))
        yes = typed.get("is_one_off") == "yes"
        mark_one_off(self.user, demand, yes)
        will = "will not come again" if yes else "counts like any other"
        messages.success(self.request, f"The order of {demand.day} {will}.")
        return self.here("large-orders")

    def context(self) -> dict[str, Any]:
        plan = self.plan
        return {
            "part": self.part,
            "heir": getattr(self.part, "superseded_by", None),
            "target": plan.target,
            "why": Reasons.of(plan.target),
            **self._past(),
            **self._to_come(),
            "large_orders": large_orders(self.part, plan.today),
            "needs": self._needs(),
        }

    def _needs(self) -> list[Need]:
        alerts = Alert.objects.filter(part=self.part, cleared_at__isnull=True).order_by("order_by", "pk")
        return read_needs(with_names(alerts), self.plan.now)

    def _past(self) -> dict[str, Any]:
        plan, shown = self.plan, self.plan.shown
        there = [sort for sort in Sort if any(column.pieces.get(sort) for column in plan.columns)]
        return {
            "shown": shown,
            "asked": as_asked(shown),
            "backs": BACK,
            "switches": [(code, words, switches_of(shown)[code]) for code, words in SWITCHES.items()],
            "history": [_drawn(plan.history_drawing(f"h{width}", width)) for width in (WIDE, WIDTH)],
            "sorts": there,
            "columns": [
                (column, [column.pieces.get(sort, 0) for sort in there]) for column in reversed(plan.columns)
            ],
            "fan": plan.fan,
            "method": plainly(METHODS, plan.forecast.method) if plan.forecast else "",
        }

    def _to_come(self) -> dict[str, Any]:
        plan = self.plan
        known = plan.forecast is not None
        return {
            "stock": plan.stock,
            "stock_drawings": [_drawn(plan.stock_drawing(f"s{width}", width)) for width in (WIDE, WIDTH)],
            "runs_out": runs_out_in_words(plan.stock.projection, plan.today, forecast=known),
        }


def _drawn(svg: str) -> SafeString:
    return mark_safe(svg)  # noqa: S308  # its text is escaped in strokes
