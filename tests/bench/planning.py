"""Targets of very many parts: the planning by itself, from the tables, and by a loop over the parts.

Made-up sales, near to real ones; where SHIMWRIGHT_MONTHLY_SALES names a table of real monthly sales, those
are drawn again. SHIMWRIGHT_BENCH_PARTS makes them fewer.
"""

from __future__ import annotations

import os
from dataclasses import dataclass
from functools import partial
from typing import Final

import numpy as np

from inventory.planning.forecasting import forecast_many
from inventory.planning.lead_times import LeadColumns
from inventory.planning.steadying import steadied
from inventory.planning.targets import many_targets, part_columns

from .alone import Spent, alone, say
from .made_up_sales import sales
from .part_loop import seconds_of_loop
from .table import Row

PARTS: Final = int(os.environ.get("SHIMWRIGHT_BENCH_PARTS", "100000"))
MONTHS: Final = 60
WANTED: Final = 0.95
SAMPLE: Final = 150
MONTH_DAYS: Final = 365 / 12
REVIEW_DAYS: Final = 7
BUDGET_SECONDS, BUDGET_MIB = 60, 2048
SEED: Final = 20


@dataclass(frozen=True)
class Done:
    """What all targets come to; `then` is what was done after they stood, which was after `stood` seconds."""

    parts: int
    pieces: int
    served: float
    stood: float | None = None
    then: str = ""


def run() -> list[Row]:
    from .target_run import reckoned
    from .target_tables import fill

    table, source = sales(PARTS, MONTHS, seed=SEED)
    what = f"targets of {PARTS:,} parts with {MONTHS} months ({source})"
    planned = alone(plan, PARTS)
    rows = [_row(f"{what}: planning alone", planned), _by_loop(table, planned)]
    fill(table)
    whole = alone(reckoned)
    rows.append(_row(f"{what}: a run, from the tables and into them", whole))
    return [*rows, Row(f"that run, and then {whole.result.then}", whole.told)]


def plan(parts: int) -> Done:
    """Forecasts, steadied, demand over lead time and review, and levels; in one process, as a run does it."""
    table, _ = sales(parts, MONTHS, seed=SEED)
    chance = np.random.default_rng(SEED)
    lead_days = chance.choice([7.0, 14.0, 21.0, 30.0, 45.0, 60.0], parts)
    cents = np.rint(np.exp(chance.normal(7, 1.5, parts)) + 5)
    forecasts = steadied(forecast_many(table, progress=partial(say, "forecast")))
    months = (lead_days + REVIEW_DAYS) / MONTH_DAYS
    mean, variance = forecasts.over(months)
    found = many_targets(
        part_columns(
            mean=mean / months,
            variance=variance / months,
            period_days=MONTH_DAYS,
            leads=LeadColumns.fixed(lead_days),
            review_days=REVIEW_DAYS,
            fill_rate=WANTED,
            cents=cents,
            order_cents=500,
        ),
        nearest=True,
        progress=partial(say, "targets"),
    )
    asked = float(forecasts.mean.sum())
    return Done(parts, int(found.up_to.sum()), float(found.fill_rate @ forecasts.mean) / asked)


def _row(what: str, spent: Spent[Done]) -> Row:
    took = spent.result.stood or spent.seconds
    within = took <= BUDGET_SECONDS and spent.peak <= BUDGET_MIB
    return Row(
        f"{what}; {spent.result.pieces:,} pieces, {spent.result.served:.1%} promised",
        f"{took:.1f} s, peak {spent.peak:,.0f} MiB" if spent.result.stood else spent.told,
        f"budget {BUDGET_SECONDS} s, {BUDGET_MIB / 1024:.0f} GiB",
        f"{took / BUDGET_SECONDS:.2f} of it" if within else "OVER",
    )


def _by_loop(table: np.ndarray, planned: Spent[Done]) -> Row:
    """Of parts drawn from all of them, and scaled up; both in processor time, since other work may go on."""
    some = np.random.default_rng(SEED).choice(len(table), min(SAMPLE, len(table)), replace=False)
    seconds = seconds_of_loop(table[some], (30 + REVIEW_DAYS) / MONTH_DAYS, WANTED) / len(some)
    return Row(
        f"the same by a loop with statsforecast and SciPy ({len(some)} parts, scaled up)",
        f"{seconds * 1000:.1f} ms a part: {seconds * len(table):,.0f} s of processor",
        f"ours {planned.busy:.1f} s",
        f"{seconds * len(table) / planned.busy:,.0f} times ours",
    )
