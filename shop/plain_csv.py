"""Tables as CSV (RFC 4180), sent as they are read.

A text that a spreadsheet would take for a formula gets an apostrophe before it, the trade's way to keep it
a text (OWASP, CSV injection, from memory).
"""

from __future__ import annotations

import csv
from collections.abc import Iterable, Iterator, Sequence
from itertools import islice

from django.http import StreamingHttpResponse

_ROWS_AT_ONCE = 200
_FORMULA_BEGINS = ("=", "+", "-", "@", "\t", "\r")


class _Line:
    """What csv writes to: it hands each line back instead of keeping it."""

    def write(self, line: str) -> str:
        return line


def lines_of(headings: Sequence[str], rows: Iterable[Sequence[str]]) -> Iterator[str]:
    """The headings, then a line for each row."""
    writer = csv.writer(_Line())
    yield writer.writerow(headings)
    for row in rows:
        yield writer.writerow(row)


def download(lines: Iterator[str], filename: str) -> StreamingHttpResponse:
    """The answer that a browser keeps as a file."""
    answer = StreamingHttpResponse(_in_chunks(lines), content_type="text/csv; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="{filename}"'
    return answer


def harmless(text: str | None) -> str:
    """A text that no spreadsheet takes for a formula."""
    text = text or ""
    return f"'{text}" if text.startswith(_FORMULA_BEGINS) else text


def _in_chunks(lines: Iterator[str]) -> Iterator[str]:
    """Some lines at once: each on its own would be a packet of its own."""
    while chunk := "".join(islice(lines, _ROWS_AT_ONCE)):
        yield chunk
