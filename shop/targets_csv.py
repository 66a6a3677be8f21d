"""All targets as CSV, part by part, for a spreadsheet: levels, who set them, and the figures behind them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from django.db.models import QuerySet
from django.http import StreamingHttpResponse

from inventory.models import Target

from .plain_csv import download, harmless, lines_of

HEADINGS = ("maker", "number", "name", "reorder_at", "up_to", "most", "set_by", "recommended_reorder_at",
            "recommended_up_to", "a_month", "class", "abc", "supplier", "price", "lead_days", "fill_rate",
            "money", "why")  # fmt: skip


def targets_csv(targets: QuerySet[Target]) -> StreamingHttpResponse:
    """The answer to download; `targets` with their parts and makers."""
    rows = targets.order_by("part__maker__name", "part__number").iterator(chunk_size=500)
    return download(csv_lines(rows), "targets.csv")


def csv_lines(targets: Iterator[Target]) -> Iterator[str]:
    """The headings, then a line for each target."""
    return lines_of(HEADINGS, map(_cells, targets))


def _cells(target: Target) -> list[str]:
    part, figures = target.part, target.figures
    demand, lead, terms, recommended = (
        _group(figures, name) for name in ("demand", "lead", "terms", "recommended")
    )
    named = [part.maker.name, part.number, part.name]
    levels = [target.reorder_at, target.up_to, target.most, target.set_by]
    levels += [recommended.get("reorder_at"), recommended.get("up_to")]
    asked = [demand.get("mean"), demand.get("kind"), demand.get("abc")]
    bought = [terms.get("supplier"), terms.get("price"), lead.get("days")]
    gives = [figures.get("fill_rate"), figures.get("money"), target.why]
    return [harmless(_text(one)) for one in [*named, *levels, *asked, *bought, *gives]]


def _group(figures: Mapping[str, Any], name: str) -> Mapping[str, Any]:
    """Empty where a target by hand has no figures yet."""
    found: Mapping[str, Any] = figures.get(name) or {}
    return found


def _text(value: Any) -> str:
    return "" if value is None else str(value)
