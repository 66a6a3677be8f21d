"""A shop day by day, and the positions of a shop by its chain: the oracles of the targets."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import cycle

import numpy as np
from numpy.typing import NDArray

from inventory.planning import order_quantity

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Replay:
    fill_rate: float
    on_hand: float


def replay(
    demand: NDArray[np.int64], lead_days: list[int], review_days: int, levels: tuple[int, int, int, int]
) -> Replay:
    """Reviews each `review_days` in the morning, receives, then sells; what is short waits for its delivery.

    The orders take one of `lead_days` in turn. `levels` are reorder point, order-up-to level, pack and least.
    """
    leads = cycle(lead_days)
    reorder_at, up_to, pack, least = levels
    on_hand, coming, served, held = up_to, [0] * (max(lead_days) + 1), 0, 0.0
    position = up_to
    for day, wanted in enumerate(demand.tolist()):
        if day % review_days == 0 and position <= reorder_at:
            ordered = order_quantity(position, up_to, pack, least)
            coming[(day + next(leads)) % len(coming)] += ordered
            position += ordered
        on_hand += coming[day % len(coming)]
        coming[day % len(coming)] = 0
        served += min(wanted, max(0, on_hand))
        held += max(0, on_hand) / 2 + max(0, on_hand - wanted) / 2
        on_hand -= wanted
        position -= wanted
    return Replay(served / demand.sum(), held / len(demand))


def standing_positions(window: Floats, lot: int, pack: int) -> Floats:
    """The steady state of the chain of positions after review, counted from the reorder point + 1 on."""
    up_to = lot - pack
    steps = np.zeros((lot, lot))
    for before in range(lot):
        for asked, chance in enumerate(window):
            after = before - asked
            if after < 0:
                after += -(-(up_to - after) // pack) * pack
            steps[before, after] += chance
    system = np.vstack([steps.T - np.eye(lot), np.ones(lot)])
    states: Floats = np.linalg.lstsq(system, np.append(np.zeros(lot), 1), rcond=None)[0]
    return states
