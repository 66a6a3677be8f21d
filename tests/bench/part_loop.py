"""The same job with general-purpose libraries, a part at a time: what targets are held against.

statsforecast forecasts each part by five methods, the one that did best in the last twelve months is taken,
and SciPy's distributions give the least level with the wanted fill rate. Seasons, the bootstrap, lots and
borrowed means, which ours has too, are left out.
"""

from __future__ import annotations

import time

import numpy as np
from numpy.typing import NDArray
from scipy import stats
from statsforecast.models import (
    TSB,
    CrostonClassic,
    CrostonSBA,
    SimpleExponentialSmoothing,
    WindowAverage,
)

Series = NDArray[np.float64]

ORIGINS = 12
MODELS = (
    SimpleExponentialSmoothing(alpha=0.1),
    CrostonSBA(),
    CrostonClassic(),
    TSB(alpha_d=0.2, alpha_p=0.2),
)
AVERAGE = WindowAverage(window_size=12)


def seconds_of_loop(table: Series, months: float, wanted: float) -> float:
    """The time for these parts, after one that does not count (compilers warm up)."""
    _level(table[0], months, wanted)
    started = time.process_time()
    for row in table:
        _level(row, months, wanted)
    return time.process_time() - started


def _level(row: Series, months: float, wanted: float) -> int:
    """The least level for lead time and review together."""
    demand = row[~np.isnan(row)]
    if not demand.any():
        return 0
    means, variance = min((_held(demand, said) for said in _forecasts(demand)), key=lambda held: held[2])[:2]
    mean = means[-1] * months
    law = _law(mean, max(variance * months, mean))
    level, short, missing = 0, mean, mean
    while missing > (1 - wanted) * mean and level < 10_000:
        short -= float(law.sf(level))
        level += 1
        missing = short
    return level


def _forecasts(demand: Series) -> list[Series]:
    """Of each method its forecast of every month from those before it, and of the month to come."""
    found = []
    for model in MODELS:
        said = model.forecast(y=demand, h=1, fitted=True)
        found.append(np.concatenate([said["fitted"], said["mean"]]))
    ends = range(max(1, len(demand) - ORIGINS), len(demand) + 1)
    means = np.full(len(demand) + 1, np.nan)
    means[list(ends)] = [_average(demand[:end]) for end in ends]
    return [*found, means]


def _average(demand: Series) -> float:
    if len(demand) < AVERAGE.window_size:
        return float(demand.mean())
    return float(AVERAGE.forecast(y=demand, h=1)["mean"][0])


def _held(demand: Series, means: Series) -> tuple[Series, float, float]:
    """The forecasts, the variance about them, and the mean ranked probability score of the last months."""
    errors = (demand - means[:-1])[~np.isnan(means[:-1])]
    variance = float((errors**2).mean()) if len(errors) else float(demand.var())
    scores = []
    for came, mean in zip(demand[-ORIGINS:], means[-ORIGINS - 1 : -1], strict=False):
        if np.isnan(mean):
            continue
        law = _law(mean, max(variance, mean))
        counts = np.arange(int(max(came, law.ppf(1 - 1e-6))) + 1)
        scores.append(float(((law.cdf(counts) - (counts >= came)) ** 2).sum()))
    score = float(np.mean(scores)) if scores and not np.isnan(means[-1]) else np.inf
    return means, variance, score


def _law(mean: float, variance: float) -> stats.rv_discrete:
    if variance <= mean * (1 + 1e-9) or mean <= 0:
        return stats.poisson(max(mean, 1e-12))
    chance = mean / variance
    return stats.nbinom(mean * chance / (1 - chance), chance)
