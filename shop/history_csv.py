"""The whole history of a part as CSV (RFC 4180), sent as it is read.

Days and times are ISO 8601 in the shop's time zone, money is plain decimals. A text that a spreadsheet
would take for a formula gets an apostrophe before it, the trade's way to keep it a text (OWASP, CSV
injection, from memory).
"""

from __future__ import annotations

import csv
from collections.abc import Iterable, Iterator
from itertools import islice

from django.http import StreamingHttpResponse
from django.utils import timezone

from inventory.history import Entry, Sieve, oldest_first
from inventory.models import Part

_ROWS_AT_ONCE = 200
_FORMULA_BEGINS = ("=", "+", "-", "@", "\t", "\r")
HEADINGS = ("movement", "at", "act", "quantity", "change", "on_hand", "lot", "from", "to", "by", "reference",
            "reason")  # fmt: skip
COST_HEADINGS = ("value", "unit_cost")


class _Line:
    """What csv writes to: it hands each line back instead of keeping it."""

    def write(self, line: str) -> str:
        return line


def history_csv(part: Part, sieve: Sieve, *, with_costs: bool) -> StreamingHttpResponse:
    """The answer to download, oldest movement first; `with_costs` for those who may see what pieces cost."""
    lines = csv_lines(oldest_first(part, sieve), with_costs=with_costs)
    answer = StreamingHttpResponse(_in_chunks(lines), content_type="text/csv; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="history-{part.key or part.pk}.csv"'
    return answer


def csv_lines(entries: Iterable[Entry], *, with_costs: bool) -> Iterator[str]:
    """The headings, then a line for each entry."""
    writer = csv.writer(_Line())
    yield writer.writerow((*HEADINGS, *COST_HEADINGS) if with_costs else HEADINGS)
    for entry in entries:
        yield writer.writerow([*_cells(entry), *_costs(entry)] if with_costs else _cells(entry))


def harmless(text: str | None) -> str:
    """A text that no spreadsheet takes for a formula."""
    text = text or ""
    return f"'{text}" if text.startswith(_FORMULA_BEGINS) else text


def _cells(entry: Entry) -> list[str]:
    figures = [str(figure) for figure in (entry.quantity, entry.change, entry.on_hand)]
    texts = (entry.lot, entry.origin, entry.destination, entry.by, entry.reference, entry.reason)
    at = timezone.localtime(entry.at).isoformat(timespec="seconds")
    return [str(entry.id), at, entry.act, *figures, *map(harmless, texts)]


def _costs(entry: Entry) -> list[str]:
    return [f"{entry.value:.4f}", "" if entry.unit_cost is None else f"{entry.unit_cost:.4f}"]


def _in_chunks(lines: Iterator[str]) -> Iterator[str]:
    """Some lines at once: each on its own would be a packet of its own."""
    while chunk := "".join(islice(lines, _ROWS_AT_ONCE)):
        yield chunk
