"""PURE. What pieces cost, in whole steps of a ten-thousandth: an average, and shares of a sum."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction
from math import floor

STEPS = 10_000


def steps(amount: Decimal | str) -> int:
    return int(Decimal(amount) * STEPS)


def average(worth: int, pieces: int, quantity: int) -> int:
    """What `quantity` of `pieces` that are worth so much cost, half a step rounded up."""
    return floor(Fraction(worth * quantity, pieces) + Fraction(1, 2))


def shares(amount: int, weights: Sequence[Fraction]) -> list[int]:
    """In proportion, to the last step: what rounding down leaves goes to those who lost most by it."""
    exact = [amount * weight / sum(weights) for weight in weights]
    whole = [floor(share) for share in exact]
    loses_most = sorted(range(len(exact)), key=lambda nth: whole[nth] - exact[nth])
    for nth in loses_most[: amount - sum(whole)]:
        whole[nth] += 1
    return whole
