"""The whole history of a part as CSV, sent as it is read.

Days and times are ISO 8601 in the shop's time zone, money is plain decimals.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from django.http import StreamingHttpResponse
from django.utils import timezone

from inventory.history import Entry, Sieve, oldest_first
from inventory.models import Part

from .plain_csv import download, harmless, lines_of

HEADINGS = ("movement", "at", "act", "quantity", "change", "on_hand", "lot", "from", "to", "by", "reference",
            "reason")  # fmt: skip
COST_HEADINGS = ("value", "unit_cost")


def history_csv(part: Part, sieve: Sieve, *, with_costs: bool) -> StreamingHttpResponse:
    """The answer to download, oldest movement first; `with_costs` for those who may see what pieces cost."""
    lines = csv_lines(oldest_first(part, sieve), with_costs=with_costs)
    return download(lines, f"history-{part.key or part.pk}.csv")


def csv_lines(entries: Iterable[Entry], *, with_costs: bool) -> Iterator[str]:
    """The headings, then a line for each entry."""
    if with_costs:
        return lines_of((*HEADINGS, *COST_HEADINGS), ([*_cells(one), *_costs(one)] for one in entries))
    return lines_of(HEADINGS, map(_cells, entries))


def _cells(entry: Entry) -> list[str]:
    figures = [str(figure) for figure in (entry.quantity, entry.change, entry.on_hand)]
    texts = (entry.lot, entry.origin, entry.destination, entry.by, entry.reference, entry.reason)
    at = timezone.localtime(entry.at).isoformat(timespec="seconds")
    return [str(entry.id), at, entry.act, *figures, *map(harmless, texts)]


def _costs(entry: Entry) -> list[str]:
    return [f"{entry.value:.4f}", "" if entry.unit_cost is None else f"{entry.unit_cost:.4f}"]
