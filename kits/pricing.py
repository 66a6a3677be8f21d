"""What a kit costs: its parts, the shop works that it needs, and what substitutions agree about price."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal

from kits.choices import Choice
from kits.conversion import PARTS, Conversion, Filling, SlotRead, default_filling
from kits.fit import Job
from kits.models import Substitution

NOTHING = Decimal("0.00")


def parts_price(conversion: Conversion, filling: Filling) -> Decimal:
    """The parts of one slot at their list prices."""
    return sum((conversion.parts[p].price * quantity for p, quantity in filling.parts), NOTHING)


def adjustment(conversion: Conversion, slot: SlotRead, choice: Choice | None) -> tuple[str, Decimal] | None:
    """What the price policy of a stand-in for the default adds to (or takes off) the list price.

    The difference is charged: nothing. The same price: back to that of the default. Only a lower
    price is passed on: back to it where the stand-in is dearer.
    """
    default = default_filling(slot)
    if choice is None or choice.substitution is None or not choice.from_default or default is None:
        return None
    policy = choice.substitution.pricing
    difference = parts_price(conversion, default) - parts_price(conversion, choice.filling)
    keeps_price = policy == Substitution.Pricing.SAME
    only_credit = policy == Substitution.Pricing.CREDIT and difference < 0
    if not difference or not (keeps_price or only_credit):
        return None
    return f"{slot.name}: {choice.label} at the price of the standard part", difference


def slot_price(conversion: Conversion, slot: SlotRead, filling: Filling, choice: Choice | None) -> Decimal:
    """Parts and adjustment of one slot."""
    if filling.how != PARTS:
        return NOTHING
    adjusted = adjustment(conversion, slot, choice)
    return parts_price(conversion, filling) + (adjusted[1] if adjusted else NOTHING)


def works_price(jobs: Iterable[Job]) -> Decimal:
    """The shop works, each once."""
    return sum((job.work.price for job in jobs), NOTHING)
