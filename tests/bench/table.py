"""Timings and the table that they are printed in."""

import statistics
from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True)
class Row:
    """One line: what was measured, the figure with its unit, and what it is held against."""

    what: str
    figure: str
    against: str = ""
    ratio: str = ""


def timings(what: str, seconds: Sequence[float], budget_ms: float | None = None) -> Row:
    """Median and 95th percentile in milliseconds, against a budget in milliseconds."""
    median = statistics.median(seconds) * 1000
    high = statistics.quantiles(seconds, n=20, method="inclusive")[-1] * 1000
    figure = f"{median:.1f} ms (p95 {high:.1f}, n {len(seconds)})"
    if budget_ms is None:
        return Row(what, figure)
    return Row(what, figure, f"budget {budget_ms:.0f} ms", f"{median / budget_ms:.2f} of it")


def show(rows: Sequence[Row]) -> str:
    """A plain text table, columns as wide as they need to be."""
    lines = [("what", "median", "against", "ratio"), *((r.what, r.figure, r.against, r.ratio) for r in rows)]
    widths = [max(len(line[column]) for line in lines) for column in range(4)]
    out = [
        "  ".join(cell.ljust(width) for cell, width in zip(line, widths, strict=True)).rstrip()
        for line in lines
    ]
    return "\n".join([out[0], "-" * (sum(widths) + 6), *out[1:]])
