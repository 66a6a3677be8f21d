"""Money: rounding half up to the cent, and tax worked out once per rate on the total.

Half up means away from zero at a tie, so a credit is rounded like the charge that it takes back.
Tax per line would add up to another sum: five lines of 0.13 at 21 % carry 0.14, not five times 0.03.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

CENT = Decimal("0.01")


def to_cent(amount: Decimal) -> Decimal:
    """The amount in whole cents, ties away from zero. A float is refused: it has lost the tie already."""
    if not isinstance(amount, Decimal):
        raise TypeError(f"Money is a Decimal, not a {type(amount).__name__}: give Decimal('{amount}').")
    return amount.quantize(CENT, rounding=ROUND_HALF_UP)


def line_net(quantity: int, unit_price: Decimal) -> Decimal:
    """What a line costs before tax, in whole cents."""
    return to_cent(quantity * unit_price)


@dataclass(frozen=True)
class TaxShare:
    """What one rate of tax, in percent, applies to and comes to."""

    percent: Decimal
    taxable: Decimal
    tax: Decimal


@dataclass(frozen=True)
class Total:
    """Before tax, the tax, and with tax; all in whole cents, and `gross` is exactly the sum."""

    net: Decimal
    tax: Decimal
    gross: Decimal
    shares: tuple[TaxShare, ...]


def total(lines: Iterable[tuple[Decimal, Decimal]]) -> Total:
    """Add lines of (net amount, tax percent); each rate is applied once, to all that it concerns."""
    taxable: dict[Decimal, Decimal] = {}
    for net, percent in lines:
        taxable[percent] = taxable.get(percent, Decimal(0)) + to_cent(net)
    shares = tuple(
        TaxShare(percent, amount, to_cent(amount * percent / 100))
        for percent, amount in sorted(taxable.items())
    )
    net = to_cent(sum((share.taxable for share in shares), Decimal(0)))
    tax = to_cent(sum((share.tax for share in shares), Decimal(0)))
    return Total(net, tax, net + tax, shares)
