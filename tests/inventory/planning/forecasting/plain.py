"""Every method as a plain loop over one part's known demand: what the columns are held to."""

from collections.abc import Callable, Sequence

import numpy as np
from hypothesis import strategies as st
from numpy.typing import NDArray

Table = NDArray[np.float64]
NAN = float("nan")


def average(past: Sequence[float], window: int) -> float:
    last = past[-window:]
    return sum(last) / len(last)


def smoothed(past: Sequence[float], alpha: float = 0.1) -> float:
    level = past[0]
    for demand in past[1:]:
        level += alpha * (demand - level)
    return level


def size_over_interval(past: Sequence[float], alpha: float = 0.1) -> float:
    sizes = [demand for demand in past if demand]
    places = [place for place, demand in enumerate(past, 1) if demand]
    if not sizes:
        return 0.0
    gaps = [after - before for before, after in zip([0, *places], places, strict=False)]
    return smoothed(sizes, alpha) / smoothed(gaps, alpha)


def without_bias(past: Sequence[float], alpha: float = 0.1) -> float:
    return size_over_interval(past, alpha) * (1 - alpha / 2)


def size_times_probability(past: Sequence[float]) -> float:
    sizes = [demand for demand in past if demand]
    return smoothed(sizes) * smoothed([float(demand > 0) for demand in past]) if sizes else 0.0


def factors(past: Sequence[float], season: int) -> list[float]:
    """The indices of the periods to come, from the whole years before."""
    years = len(past) // season
    whole = past[len(past) - years * season :]
    yearly = sum(whole) / len(whole)
    found = []
    for month in range(season):
        same = whole[month::season]
        ratio = sum(same) / len(same) / yearly if yearly else 1.0
        found.append((years * ratio + 1) / (years + 1))
    return found


def of_season(past: Sequence[float], season: int = 12) -> float:
    if len(past) < 2 * season:
        return NAN
    return average(past, season) * factors(past, season)[0]


PLAIN: dict[str, Callable[[Sequence[float]], float]] = {
    "ses": smoothed,
    "moving_average": lambda past: average(past, 12),
    "sba": without_bias,
    "croston": size_over_interval,
    "tsb": size_times_probability,
    "bootstrap": lambda past: average(past, 24),
    "seasonal": of_season,
}


def variance(demand: Sequence[float], say: Callable[[Sequence[float]], float], now: float) -> float:
    """Squared errors, each 3 % lighter than the next, and two periods of Poisson demand."""
    total, weight = 2 * now, 2.0
    for period in range(1, len(demand)):
        error = demand[period] - say(demand[:period])
        if not np.isnan(error):
            light = 0.97 ** (len(demand) - 1 - period)
            total += light * error**2
            weight += light
    return total / weight


def row(head: int, demand: Sequence[float]) -> list[float]:
    return [NAN] * head + list(demand)


@st.composite
def tables(draw: st.DrawFn, *, parts: int = 4, periods: int = 40) -> Table:
    """Parts that came on sale at any time, or have not yet, and sell often or hardly ever."""
    length = draw(st.integers(1, periods))
    pieces = st.sampled_from((0, 0, 0, 1, 1, 2, 3, 5, 20))
    rows = []
    for _ in range(draw(st.integers(1, parts))):
        known = draw(st.integers(0, length))
        rows.append(row(length - known, draw(st.lists(pieces, min_size=known, max_size=known))))
    return np.array(rows, np.float64)
