"""Monthly sales of very many parts that nobody sold: rare and often, even and lumpy, old and new ones.

Or of real ones over again, where SHIMWRIGHT_MONTHLY_SALES names a table that `manage.py backtest` reads.
"""

from __future__ import annotations

import os
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from inventory.planning.backtest import read_table

Table = NDArray[np.float64]

# Of a hundred parts so many: the usual number of customers a month, how far parts differ in it (lognormal),
# the pieces above one that a customer takes, and how even that is (the shape of a negative binomial). Near to
# the `carparts` data of the R package expsmooth: of its series 87 in 100 are intermittent and 13 lumpy, sold
# in a fifth and a third of the months, 1.5 and 2.3 pieces in those.
KINDS = ((86, 0.22, 0.9, 0.35, 1.0), (13, 0.35, 0.8, 1.5, 0.3), (1, 2.5, 0.4, 0.5, 1.0))
NEW = 0.15  # came on sale in the course of the table
SEASONAL, SWING = 0.1, 0.6
GONE = 0.03  # is asked for less and less


def sales(parts: int, months: int, *, seed: int) -> tuple[Table, str]:
    """(parts, months), and where it is from."""
    path = os.environ.get("SHIMWRIGHT_MONTHLY_SALES")
    if not path:
        return made_up_sales(parts, months, seed=seed), "made up"
    with Path(path).open() as lines:
        values = read_table(lines).values.T
    return sold_again(values, parts, months, seed=seed), f"{len(values):,} real series drawn again"


def made_up_sales(parts: int, months: int, *, seed: int) -> Table:
    """Every degree of rareness and lumpiness, as KINDS has them; NaN before a part came on sale."""
    chance = np.random.default_rng(seed)
    share, usual, apart, more, even = np.array(KINDS).T
    kind = chance.choice(len(KINDS), parts, p=share / 100)
    customers = usual[kind] * np.exp(apart[kind] * chance.standard_normal(parts))
    more, even = more[kind] * chance.gamma(4.0, 0.25, parts), even[kind]
    pace = np.ones((parts, months))
    turn = np.sin(2 * np.pi * (np.arange(months) / 12 + chance.random((parts, 1))))
    pace += np.where(chance.random(parts) < SEASONAL, SWING, 0.0)[:, None] * turn
    pace *= np.where(chance.random(parts) < GONE, 0.95, 1.0)[:, None] ** np.arange(months)
    came = chance.poisson(customers[:, None] * pace)
    # What all of a month's customers take above a piece each; none where there is no customer.
    shape = np.where(came, came * even[:, None], 1.0)
    above = chance.negative_binomial(shape, (even / (even + more))[:, None])
    table: Table = (came + np.where(came, above, 0)).astype(np.float64)
    return _come_late(table, chance)


def sold_again(series: Table, parts: int, months: int, *, seed: int) -> Table:
    """Real series drawn again for each part, begun anywhere and gone on with from their beginning."""
    chance = np.random.default_rng(seed)
    known = [one[~np.isnan(one)] for one in series]
    known = [one for one in known if len(one) >= 12]
    table = np.empty((parts, months))
    for row, one in enumerate(chance.integers(len(known), size=parts).tolist()):
        again = np.tile(known[one], months // len(known[one]) + 2)
        start = int(chance.integers(len(known[one])))
        table[row] = again[start : start + months]
    return _come_late(table, chance)


def _come_late(table: Table, chance: np.random.Generator) -> Table:
    """With some of the parts on sale only from a later month on."""
    parts, months = table.shape
    starts = np.where(chance.random(parts) < NEW, chance.integers(0, months - 2, parts), 0)
    table[np.arange(months) < starts[:, None]] = np.nan
    return table
