"""Large orders that will not come again: marked when they are written down, or by buying."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta

from django.contrib.auth.models import User
from django.db.models import Count, QuerySet

from inventory.acting import ActError, act
from inventory.models import Demand
from inventory.planning.demand import Event, look_one_off
from inventory.planning.demand.one_offs import TIMES

LOOKED_BACK = timedelta(days=730)


def look(rows: Sequence[Demand]) -> None:
    """Mark those of the unsaved `rows` that are far larger than what is asked of their part otherwise."""
    # No other demand is below one piece, so up to so many are never out of the ordinary.
    large = [row for row in rows if row.quantity > TIMES]
    if not large:
        return
    day = max(row.day for row in large)
    before = Demand.objects.filter(
        part__in={row.part_id for row in large}, day__gt=day - LOOKED_BACK, one_off=False
    ).exclude(kind=Demand.Kind.RETURN)
    known: list[Event[int]] = []
    for part, quantity, times in before.order_by().values_list("part", "quantity").annotate(Count("pk")):
        known += [Event(part, day, quantity, "loose")] * times
    new = [Event(row.part_id, row.day, row.quantity, "loose") for row in large]
    for position in look_one_off([*known, *new]):
        if position >= len(known):
            large[position - len(known)].one_off = True


@act("inventory.buy")
def mark_one_off(
    user: User,  # noqa: ARG001 - the audit names who acts.
    demand: Demand,
    yes: bool,
) -> Demand:
    """Buying says that this demand will not come again, or that it is custom like any other.

    What came back of it goes with it. Raises ActError "is-a-return".
    """
    demand = Demand.objects.select_for_update(of=("self",)).get(pk=demand.pk)
    if demand.kind == Demand.Kind.RETURN:
        raise ActError(
            f"{demand} is what came back: mark the sale, and what came back of it goes with it.",
            code="is-a-return",
        )
    if demand.one_off != yes:
        _returns_of(demand).update(one_off=yes)
        demand.one_off = yes
        demand.save(update_fields=["one_off"])
    return demand


def _returns_of(demand: Demand) -> QuerySet[Demand]:
    """What came back of just this; none where the records cannot tell it from what came back of others."""
    like = Demand.objects.filter(
        part=demand.part_id,
        reference=demand.reference,
        first_choice=demand.first_choice_id,
        one_off=demand.one_off,
    ).order_by()
    others = like.exclude(pk=demand.pk).exclude(kind=Demand.Kind.RETURN)
    if not demand.reference or demand.kind == Demand.Kind.LOST or others.exists():
        return like.none()
    return like.filter(kind=Demand.Kind.RETURN)
