"""The figures and drawings of a part's plan as files. Days are ISO 8601, figures plain decimals."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404

from inventory.models import Part
from shop.desks.charts import WIDE
from shop.desks.page import DeskView
from shop.plain_csv import download, lines_of

from .asked_for import shown_by
from .history_chart import Expected
from .part_plan import RIGHTS, PlanOfPart
from .projecting import Level
from .sorts import Column, Sort

# The ink and the paper of our pages, for whoever opens a drawing by itself.
INK, PAPER = "#16315a", "#fbf8f0"


class _FileOfPart(DeskView):
    rights = RIGHTS

    def plan(self) -> PlanOfPart:
        part = get_object_or_404(Part.objects.select_related("maker"), pk=self.kwargs["pk"])
        return PlanOfPart(part, shown_by(self.request.GET))


class PartPlanFile(_FileOfPart):
    """One of the tables as CSV."""

    def get(self, _request: HttpRequest, what: str, **_: Any) -> HttpResponseBase:
        plan = self.plan()
        if what == "history":
            lines = history_lines(plan.columns)
        elif what == "forecast":
            lines = forecast_lines(plan.fan)
        elif what == "projection":
            lines = projection_lines(plan.stock.projection.levels)
        else:
            raise Http404("There is no such file of a plan.")
        return download(lines, f"{what}-{plan.part.key or plan.part.pk}.csv")


class PartPlanDrawing(_FileOfPart):
    """One of the drawings as SVG."""

    def get(self, _request: HttpRequest, what: str, **_: Any) -> HttpResponse:
        plan = self.plan()
        drawn = ""
        if what == "history":
            drawn = plan.history_drawing("h", WIDE)
        elif what == "projection":
            drawn = plan.stock_drawing("s", WIDE)
        if not drawn:
            raise Http404("There is no such drawing of a plan.")
        return drawing_file(drawn, f"{what}-{plan.part.key or plan.part.pk}.svg")


def drawing_file(svg: str, filename: str) -> HttpResponse:
    """The answer that a browser keeps as a file: the drawing, in ink on paper."""
    alone = svg.replace("<svg ", f'<svg style="color:{INK};background:{PAPER}" ', 1)
    answer = HttpResponse(alone, content_type="image/svg+xml; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="{filename}"'
    return answer


def history_lines(columns: Sequence[Column]) -> Iterator[str]:
    """The oldest first; `counts_as` is empty for a period that is not over, and for a superseded part."""
    headings = ["from", *(sort.code.replace("-", "_") for sort in Sort), "counts_as"]
    return lines_of(
        headings,
        (
            [
                column.start.isoformat(),
                *(str(column.pieces.get(sort, 0)) for sort in Sort),
                "" if column.counted is None else str(column.counted),
            ]
            for column in columns
        ),
    )


def forecast_lines(fan: Sequence[Expected]) -> Iterator[str]:
    """`p10` is what 10 of 100 such periods lie below."""
    return lines_of(
        Expected._fields,
        ([one.start.isoformat(), *(f"{figure:.4f}" for figure in (one.mean, *one.levels))] for one in fan),
    )


def projection_lines(levels: Sequence[Level]) -> Iterator[str]:
    """At the end of each day, below 0 where so many wait; see `Level`."""
    return lines_of(
        Level._fields,
        ([one.day.isoformat(), str(one.middle), str(one.low), str(one.high)] for one in levels),
    )
