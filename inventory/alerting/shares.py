"""The shop's own figures of what waiting costs."""

from fractions import Fraction

from django.conf import settings

from inventory.planning.waiting_cost import Shares


def shares() -> Shares:
    return Shares(
        missed=Fraction(settings.SHOP_MISSED_SHARE),
        waiting=Fraction(settings.SHOP_WAITING_SHARE),
        holding=Fraction(settings.SHOP_HOLDING_RATE),
    )
