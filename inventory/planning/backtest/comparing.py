"""Policies on the same past, and each other one's stock where it serves as well as ours."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from inventory.planning.ordering import PlanningError

from .counted import OURS
from .figures import Outcome, outcome
from .normal import CROSTON_NORMAL, FACTOR_YEAR, NORMAL, NORMAL_YEAR
from .policy import Levels, Policy, Seen
from .replay import Replay, replay
from .rules import Rules
from .table import Sales, sales

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import ArrayLike, NDArray

    Figures = NDArray[np.float64]
    Looked = dict[int, tuple[NDArray[np.int64], Seen]]

POLICIES = (OURS, NORMAL, NORMAL_YEAR, FACTOR_YEAR, CROSTON_NORMAL)
# Wanted services are searched between these by halves, until a fill rate is as close as a hundredth of a
# point above the other, or the last step buys no piece.
LEAST_WANTED, MOST_WANTED, HALVES, CLOSE = 1e-3, 1 - 1e-9, 24, 1e-4


# Of what a fill rate is the share: of all pieces, or the mean of the parts' own.
MEASURES: dict[str, Callable[[Outcome], float]] = {
    "pieces": lambda one: one.fill_rate,
    "parts": lambda one: one.parts_fill_rate,
}


@dataclass(frozen=True)
class Match:
    """The policy where it just reaches the fill rate of the first one; None where it never does.

    `by` is one of MEASURES. `stock_ratio` is the first one's stock over this one's: below 1 the first needs
    less.
    """

    policy: str
    by: str
    outcome: Outcome | None
    stock_ratio: float | None


@dataclass(frozen=True)
class BackTest:
    """`outcomes` of the policies as they are, and for all but the first its `matches`.

    `periods` are those that count, `parts` those that were ever in them, of all in the table.
    """

    rules: Rules
    outcomes: tuple[Outcome, ...]
    matches: tuple[Match, ...]
    periods: int
    parts: int


def backtest(
    table: ArrayLike,
    rules: Rules,
    *,
    cents: ArrayLike | None = None,
    policies: Sequence[Policy] = POLICIES,
    match: bool = True,
    progress: Callable[[int, int], None] | None = None,
) -> BackTest:
    """Replay `table` (periods, parts; NaN where a part is not on sale) under each of `policies`.

    `cents` is the price of a piece of each part. With `match` each policy but the first is also set so that
    it serves as well as the first. `progress(done, total)` hears of each forecast and each search.
    Raises PlanningError for a bad table, and where there is nothing to count.
    """
    past = sales(table)
    counted = past.counted(rules)
    if rules.order_cents and cents is None:
        raise PlanningError("What an order costs is weighed against the prices of the parts: give them too.")
    if not policies:
        raise PlanningError("Nothing to compare: give at least one policy.")
    if not counted.any():
        raise PlanningError(
            f"No part has a period left to count after {rules.warm_up} to learn from, a lead time and a "
            "review: give more periods, or a shorter warm-up."
        )
    steps = _Steps(policies, past, rules, match, progress)
    stage = _Stage(past, _prices(cents, len(past.values)), rules, steps)
    looked = [(policy, stage.look(policy)) for policy in policies]
    outcomes = tuple(stage.play(policy, seen, rules.wanted) for policy, seen in looked)
    matches = tuple(
        stage.match(policy, seen, outcomes[0], by) for policy, seen in looked[1:] for by in MEASURES if match
    )
    return BackTest(rules, outcomes, matches, int(counted.any(axis=0).sum()), int(counted.any(axis=1).sum()))


@dataclass
class _Steps:
    """How far the work is."""

    policies: Sequence[Policy]
    past: Sales
    rules: Rules
    match: bool
    progress: Callable[[int, int], None] | None
    done: int = field(default=0, init=False)

    def step(self) -> None:
        self.done += 1
        looks = len(refreshes(self.past, self.rules)) * len(self.policies)
        total = looks + (len(self.policies) - 1) * len(MEASURES) * self.match
        if self.progress is not None:
            self.progress(self.done, total)


def refreshes(past: Sales, rules: Rules) -> range:
    """The periods in which forecasts are made anew."""
    return range(rules.warm_up, past.values.shape[1], rules.refresh)


@dataclass(frozen=True)
class _Stage:
    """What all policies have in common."""

    past: Sales
    cents: Figures
    rules: Rules
    steps: _Steps

    def look(self, policy: Policy) -> Looked:
        """By period of refresh: the parts that matter until the next one, and what the policy expects."""
        import numpy as np

        found = {}
        for now in refreshes(self.past, self.rules):
            # A part that is not on sale yet joins at a later refresh; one that went needs no level.
            rows = np.flatnonzero(self.past.on_sale[:, now - 1])
            found[now] = rows, policy.look(self.past.values[rows, :now].copy(), self.cents[rows], self.rules)
            self.steps.step()
        return found

    def play(self, policy: Policy, seen: Looked, wanted: float) -> Outcome:
        """The same, added up."""
        done = self.replay(policy, seen, wanted)
        return outcome(policy.name, wanted, self.past, self.cents, self.rules, done)

    def replay(self, policy: Policy, seen: Looked, wanted: float) -> Replay:
        """One policy with the levels for this wanted service, all parts through all periods."""
        import numpy as np

        levels = {}
        for now, (rows, expected) in seen.items():
            some = policy.levels(expected, wanted, self.rules)
            reorder_at, up_to = np.full((2, len(self.past.values)), -1)
            reorder_at[rows], up_to[rows] = some.reorder_at, some.up_to
            levels[now] = Levels(reorder_at, np.maximum(up_to, 0))
        return replay(self.past, levels, self.rules)

    def match(self, policy: Policy, seen: Looked, first: Outcome, by: str) -> Match:
        """The least wanted service, by halving its odds, with which the policy reaches this fill rate."""
        from math import exp, log

        reached = MEASURES[by]
        low, high = (log(wanted / (1 - wanted)) for wanted in (LEAST_WANTED, MOST_WANTED))
        best = self.play(policy, seen, MOST_WANTED)
        halves = HALVES if reached(best) >= reached(first) else 0
        for _ in range(halves):
            middle = (low + high) / 2
            tried = self.play(policy, seen, 1 / (1 + exp(-middle)))
            if reached(tried) < reached(first):
                low = middle
            else:
                high, best = middle, tried
            if 0 <= reached(best) - reached(first) < CLOSE:
                break
        self.steps.step()
        if not halves:
            return Match(policy.name, by, None, None)
        return Match(policy.name, by, best, first.stock / best.stock if best.stock else None)


def _prices(cents: ArrayLike | None, parts: int) -> Figures:
    import numpy as np

    prices = np.zeros(parts) if cents is None else np.asarray(cents, np.float64)
    if prices.shape != (parts,) or not ((prices >= 0) & (prices < np.inf)).all():
        raise PlanningError(f"Prices: one of at least 0 cents for each of {parts} parts.")
    return prices
