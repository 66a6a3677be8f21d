"""The targets for whole kits as files: what is set now, and what a wanted share would come to."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from django.conf import settings
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseBase

from inventory.acting import ActError
from inventory.models import TargetRun
from shop.desks.charts import WIDE
from shop.desks.page import DeskView
from shop.plain_csv import download, harmless, lines_of

from .aims import Aim, aim_from
from .frontier_chart import Point, draw_frontier
from .kit_targets import RIGHTS, KitTargets, Looked, look
from .outlook import KitRow, PartRow
from .part_files import drawing_file
from .reasons import Change
from .set_now import SetNow, frontier_of, last_done, reached_by, targets_of_kits

STEPS = (
    "one_more_money", "one_more_kits", "one_more_share",
    "one_fewer_money", "one_fewer_kits", "one_fewer_share",
)  # fmt: skip
SET_HEADINGS = (
    "part", "maker", "name", "set_by", "reorder_at", "up_to", "money", "fill_rate", *STEPS, "why",
)  # fmt: skip
PART_HEADINGS = (
    "part", "maker", "name", "by_hand", "reorder_at_now", "up_to_now", "reorder_at_then", "up_to_then",
    "money_then", *STEPS, "why",
)  # fmt: skip
KIT_HEADINGS = ("kit", "name", "a_year", "share_now", "share_then", "part", "maker", "pieces", "take_rate")


class KitTargetsFile(KitTargets):
    """One of the tables as CSV; where what is wanted cannot be read or reckoned, the page says why."""

    acts = ()

    def get(self, request: HttpRequest, **given: Any) -> HttpResponseBase:  # type: ignore[override]  # it streams
        what = given["what"]
        if what == "targets":
            return download(set_lines(targets_of_kits()), "kit-targets.csv")
        if what == "frontier":
            return download(frontier_lines(frontier_of(last_done())), "kit-frontier.csv")
        if what not in ("parts", "kits"):
            raise Http404("There is no such file of targets.")
        try:
            self.looked_at = look(aim_from(request.GET, self.usual))
        except ActError:
            return super().get(request)
        if self.looked_at.found is None:
            return self.page(request, typed=request.GET)
        if what == "parts":
            return download(part_lines(self.looked_at.found.parts), "kit-outlook-parts.csv")
        return download(kit_lines(self.looked_at.found.kits), "kit-outlook-kits.csv")


class KitTargetsDrawing(DeskView):
    """The frontier of the last run as SVG, or of what was looked at."""

    rights = RIGHTS

    def get(self, request: HttpRequest, **_: Any) -> HttpResponse:
        last = last_done()
        points, standings = frontier_of(last), reached_by(last)
        if "look" in request.GET:
            looked = _looked(request)
            points, standings = looked.points, looked.standings
        if not points and not standings:
            raise Http404("No run has found a frontier yet.")
        return drawing_file(
            draw_frontier(points, standings, settings.SHOP_CURRENCY, tag="f", width=WIDE), "kit-frontier.svg"
        )


def _looked(request: HttpRequest) -> Looked:
    usual = Aim.of(TargetRun.objects.first())
    try:
        return look(aim_from(request.GET, usual))
    except ActError:
        return Looked(usual)


def set_lines(rows: Sequence[SetNow]) -> Iterator[str]:
    """Money as plain decimals, shares between 0 and 1; what a run did not say is empty."""
    return lines_of(SET_HEADINGS, map(_set_cells, rows))


def _set_cells(row: SetNow) -> list[str]:
    target, why = row.target, row.why
    return [
        harmless(target.part.number),
        harmless(target.part.maker.name),
        harmless(target.part.name),
        target.set_by,
        str(target.reorder_at),
        str(target.up_to),
        _known(why.money),
        _known(why.fill_rate),
        *_change(row.why.one_more),
        *_change(row.why.one_fewer),
        harmless(" ".join(why.sentences) or target.why),
    ]


def _change(change: Change | None) -> list[str]:
    return [_known(change.money), _known(change.kits), _known(change.share)] if change else ["", "", ""]


def _known(figure: Any) -> str:
    return "" if figure is None else str(figure)


def part_lines(rows: Sequence[PartRow]) -> Iterator[str]:
    """Levels now and then; those now are empty where there is no target."""
    return lines_of(PART_HEADINGS, map(_part_cells, rows))


def _part_cells(row: PartRow) -> list[str]:
    now = ["", ""] if row.now is None else [str(level) for level in row.now]
    return [
        harmless(row.part.number),
        harmless(row.part.maker.name),
        harmless(row.part.name),
        "yes" if row.by_hand else "no",
        *now,
        *(str(level) for level in row.then),
        str(row.money),
        *_change(row.one_more),
        *_change(row.one_fewer),
        harmless(" ".join(row.why)),
    ]


def kit_lines(rows: Sequence[KitRow]) -> Iterator[str]:
    """A line for each part that a kit may take; what goes together has the same take rate."""
    return lines_of(KIT_HEADINGS, _kit_cells(rows))


def _kit_cells(rows: Iterable[KitRow]) -> Iterator[list[str]]:
    for row in rows:
        figures = [f"{row.a_year:.2f}", f"{row.now:.4f}", f"{row.then:.4f}"]
        for taken in row.takes:
            for part, pieces in taken.parts:
                named = [harmless(part.number), harmless(part.maker.name)]
                yield [
                    harmless(row.code),
                    harmless(row.name),
                    *figures,
                    *named,
                    str(pieces),
                    f"{taken.share:.4f}",
                ]


def frontier_lines(points: Sequence[Point]) -> Iterator[str]:
    return lines_of(("money", "share"), ([f"{one.money:.2f}", f"{one.share:.4f}"] for one in points))
