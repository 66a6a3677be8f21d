"""The largest of what was asked for of a part: which of it will not come again, a buyer knows best."""

from __future__ import annotations

from datetime import date, timedelta

from inventory.models import Demand, Part

MOST = 5
LOOKED_BACK = timedelta(days=730)


def large_orders(part: Part, today: date) -> list[Demand]:
    """All that is marked as one-off, and the largest besides, of the last two years; the latest first."""
    asked = Demand.objects.filter(part=part, day__gte=today - LOOKED_BACK).exclude(kind=Demand.Kind.RETURN)
    marked = list(asked.filter(one_off=True).order_by("-day", "-pk")[:MOST])
    others = list(asked.filter(one_off=False, quantity__gt=1).order_by("-quantity", "-day", "-pk")[:MOST])
    return sorted([*marked, *others], key=lambda one: (one.day, one.pk), reverse=True)
