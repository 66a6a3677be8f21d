"""The acts that carry pieces, throw them away, make them up, take them apart and take them back."""

from __future__ import annotations

from decimal import Decimal

from django.contrib.auth.models import User
from django.db.models import Sum
from django.utils import timezone

from inventory import assembling, buying, counting
from inventory.acting import Conflict, act
from inventory.keeping import lock_current
from inventory.models import Movement, Part, Place, Reservation
from inventory.returning import come_back, cost_of_sale
from tests.soak.costs import STEPS
from tests.soak.premises import Premises

from .done import Args, Done, reservation_of


def put_away(user: User, _premises: Premises, args: Args, _key: str) -> Done:
    origin, destination = _place(args["origin"]), _place(args["destination"])
    part = Part.objects.get(pk=args["part"])
    buying.put_away(user, part, origin=origin, destination=destination, quantity=args["quantity"])
    return Done({}, [part.pk])


def scrap(user: User, _premises: Premises, args: Args, _key: str) -> Done:
    part = Part.objects.get(pk=args["part"])
    counting.scrap(user, part, _place(args["place"]), args["quantity"], "dropped")
    return Done({}, [part.pk])


def make_up(user: User, premises: Premises, args: Args, key: str) -> Done:
    part = Part.objects.get(pk=args["part"])
    work_cost = Decimal(args["work_cost"]) / STEPS
    assembling.make_up(user, part, args["quantity"], _place(args["place"]), key, work_cost=work_cost)
    moved = Movement.objects.filter(act=Movement.Act.MAKE_UP, reference=key).exclude(part=part).order_by("pk")
    went = list(moved.values_list("part_id", "origin_id", "quantity"))
    return Done({"went": went}, {part.pk, *premises.makeup[part.pk]})


def take_apart(user: User, premises: Premises, args: Args, key: str) -> Done:
    part = Part.objects.get(pk=args["part"])
    place, to_place = _place(args["place"]), _place(args["to_place"])
    moved = assembling.take_apart(user, part, args["quantity"], place, to_place, key)
    came = [(one.part_id, one.quantity) for one in moved]
    return Done({"came": came}, {part.pk, *premises.makeup[part.pk]})


def take_back(user: User, _premises: Premises, args: Args, _key: str) -> Done:
    part = Part.objects.get(pk=args["part"])
    _take_back(user, reservation_of(args), part, args["quantity"], args["good"])
    return Done({}, [part.pk])


@act("shop.sell")
def _take_back(user: User, reservation: Reservation, part: Part, quantity: int, good: bool) -> Movement:
    """What `shop.returning.take_back` does with the pieces of an order that was shipped."""
    now, reference = timezone.now(), reservation.reference
    lock_current([part.pk], now)
    moved = Movement.objects.filter(part=part, reference=reference).order_by()
    pieces = dict(moved.values_list("act").annotate(Sum("quantity")))
    went, before = pieces.get(Movement.Act.SHIP, 0), pieces.get(Movement.Act.RETURN, 0)
    if before + quantity > went:
        raise Conflict(f"{before} of {went} are back already.", code="over-returned")
    cost = cost_of_sale(reference, part, None, before=before, quantity=quantity)
    return come_back(
        part, quantity, None, good=good, cost=cost, by=user, at=now, reference=reference, reason="too many"
    )


def _place(place: int) -> Place:
    return Place.objects.get(pk=place)
