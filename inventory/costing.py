"""What pieces cost, exactly: moving averages and shares of a sum, in steps of a ten-thousandth. PURE.

Every amount is a whole number of steps, so that what is shared adds up again and nothing is left behind
when the last piece goes.
"""

from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction
from math import lcm

PLACES = 4
STEPS = 10_000  # to one unit of money
STEP = Decimal(1).scaleb(-PLACES)
NOTHING = Decimal(0)


def rounded(amount: Decimal) -> Decimal:
    """The amount in whole steps, half a step to the even one."""
    return amount.quantize(STEP)


def at_average(value: Decimal, on_hand: int, quantity: int) -> Decimal:
    """What `quantity` pieces cost at the average of `on_hand` pieces that cost `value` together.

    Half a step is rounded up. ValueError unless there is a piece to take the average of.
    """
    if on_hand < 1 or quantity < 0:
        raise ValueError(f"No average of {on_hand} pieces for {quantity}.")
    doubled, whole = 2 * _steps(value) * quantity + on_hand, 2 * on_hand
    return _amount(doubled // whole)


def leaving(value: Decimal, on_hand: int, quantity: int) -> Decimal:
    """What goes when `quantity` of `on_hand` pieces go: their average, and all of it with the last piece."""
    if not 0 <= quantity <= on_hand:
        raise ValueError(f"{quantity} cannot leave {on_hand}.")
    return value if quantity == on_hand else at_average(value, on_hand, quantity)


def share_out(amount: Decimal, weights: Sequence[Decimal | Fraction | int]) -> list[Decimal]:
    """`amount` in proportion to `weights`, to the last step: the largest remainders get what is over.

    Alike for all where every weight is 0; of equal remainders the first comes first. ValueError for no
    weights, a weight below 0 or an amount below 0.
    """
    if not weights or min(weights) < 0 or amount < 0:
        raise ValueError("A share needs somebody to have it, and neither weights nor amounts below 0.")
    steps = _steps(amount)
    parts = _whole(weights)
    total = sum(parts)
    shares = [steps * part // total for part in parts]
    remainders = [steps * part % total for part in parts]
    over = steps - sum(shares)
    for nth in sorted(range(len(parts)), key=lambda nth: -remainders[nth])[:over]:
        shares[nth] += 1
    return [_amount(share) for share in shares]


def still_here(share: Decimal, came: int, on_hand: int) -> Decimal:
    """How much of a late `share` of `came` pieces falls on those of them that can still be `on_hand`."""
    return leaving(share, came, min(came, on_hand))


def _whole(weights: Sequence[Decimal | Fraction | int]) -> list[int]:
    """The weights as whole numbers in the same proportion; all 1 where there is nothing to go by."""
    exact = [Fraction(weight) for weight in weights]
    scale = lcm(*(weight.denominator for weight in exact))
    whole = [weight.numerator * (scale // weight.denominator) for weight in exact]
    return whole if any(whole) else [1] * len(whole)


def _steps(amount: Decimal) -> int:
    above, below = amount.as_integer_ratio()
    steps, rest = divmod(above * STEPS, below)
    if rest:
        raise ValueError(f"{amount} is no whole number of steps of {STEP}: round it first.")
    return steps


def _amount(steps: int) -> Decimal:
    sign = "-" if steps < 0 else ""
    whole, rest = divmod(abs(steps), STEPS)
    return Decimal(f"{sign}{whole}.{rest:0{PLACES}d}")
