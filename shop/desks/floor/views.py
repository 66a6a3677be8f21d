"""The floor: one walk for many orders, packing, shipping."""

from __future__ import annotations

from functools import cached_property
from typing import Any

from django.contrib import messages
from django.http import QueryDict
from django.shortcuts import get_object_or_404
from django.urls import reverse

from inventory.acting import ActError
from inventory.models import Part, Walk, WalkStop
from shop.desks.floor.saying import not_found
from shop.desks.page import DeskPage, Sheet
from shop.desks.rights import PICK
from shop.desks.typed import label, listed, maybe_whole, needed, text
from shop.models import AsBuilt, Order, Parcel, QuoteLine
from shop.packing import pack, ship, unpack
from shop.picking import give_up, make_walk, not_there, pick, put_back


class Floor(DeskPage):
    """What there is to do: orders to walk for, walks under way, orders to pack, parcels to ship."""

    template_name = "desks/floor/floor.html"
    rights = PICK
    acts = ("walk",)

    def sheet(self) -> Sheet:
        return Sheet("Floor", "2-1")

    def context(self) -> dict[str, Any]:
        orders = Order.objects.select_related("customer").prefetch_related("kits__quote_kit")
        return {
            "ready": orders.filter(state=Order.State.READY).order_by("promised_on", "accepted_at"),
            "walks": Walk.objects.filter(state=Walk.State.OPEN).select_related("made_by"),
            "to_pack": orders.filter(state=Order.State.PICKED).order_by("promised_on", "accepted_at"),
            "to_ship": orders.filter(state=Order.State.PACKED).order_by("promised_on", "accepted_at"),
            "ticked": self.request.POST.getlist("order"),
        }

    def do_walk(self, typed: QueryDict) -> str:
        ticked = [int(pk) for pk in typed.getlist("order") if pk.isdigit()]
        if not ticked:
            raise ActError("No order is ticked: tick the orders to walk for.", code="nothing-ticked")
        walk = make_walk(self.user, list(Order.objects.filter(pk__in=ticked)))
        return reverse("walk", args=[walk.pk])


class WalkSheet(DeskPage):
    """For a telephone in one hand: the next stop large, one field to scan into."""

    template_name = "desks/floor/walk.html"
    rights = PICK
    acts = ("pick", "put_back", "not_there", "give_up")

    @cached_property
    def walk(self) -> Walk:
        return get_object_or_404(Walk, pk=self.kwargs["pk"])

    def sheet(self) -> Sheet:
        return Sheet("Walk", self.walk.number)

    def context(self) -> dict[str, Any]:
        stops = list(
            self.walk.stops.select_related("part__maker", "place", "lot", "reservation__order__customer")
        )
        return {
            "walk": self.walk,
            "stops": stops,
            "next": next((stop for stop in stops if stop.left), None),
            "done": sum(not stop.left for stop in stops),
            "on_bench": [stop for stop in stops if stop.picked and _lies_on_bench(stop)],
        }

    def stop(self, typed: QueryDict) -> WalkStop:
        stops = WalkStop.objects.select_related("part", "place", "reservation")
        return get_object_or_404(stops, walk=self.walk, sequence=maybe_whole(typed, "stop", "The stop") or 0)

    def do_pick(self, typed: QueryDict) -> str:
        stop = self.stop(typed)
        taken = pick(
            self.user,
            stop,
            scanned=needed(typed, "scanned", "The scanned number"),
            quantity=maybe_whole(typed, "quantity", "How many were taken"),
            lot=text(typed, "lot"),
        )
        messages.success(
            self.request, f"Taken: {taken.picked} of {taken.quantity} × {stop.part.number} at {stop.place}."
        )
        return reverse("walk", args=[self.walk.pk])

    def do_put_back(self, typed: QueryDict) -> str:
        stop = self.stop(typed)
        back = put_back(self.user, stop, maybe_whole(typed, "back", "How many go back"))
        gone = stop.picked - back.picked
        messages.success(self.request, f"Put back: {gone} × {stop.part.number} into {stop.place}.")
        return reverse("walk", args=[self.walk.pk])

    def do_not_there(self, typed: QueryDict) -> str:
        stop = self.stop(typed)
        messages.warning(self.request, not_found(not_there(self.user, stop)))
        return reverse("walk", args=[self.walk.pk])

    def do_give_up(self, _typed: QueryDict) -> str:
        walk = give_up(self.user, self.walk)
        messages.success(self.request, f"Walk {walk} is given up; its orders are ready to pick.")
        return reverse("walk", args=[walk.pk])


def _lies_on_bench(stop: WalkStop) -> bool:
    """What was taken there can still go back: its order is neither packed nor gone."""
    order = getattr(stop.reservation, "order", None)
    return order is not None and order.state in (Order.State.WALKING, Order.State.PICKED)


class Packing(DeskPage):
    template_name = "desks/floor/packing.html"
    rights = PICK
    acts = ("pack", "unpack", "ship")

    @cached_property
    def order(self) -> Order:
        orders = Order.objects.select_related("customer", "quote", "reservation")
        return get_object_or_404(orders, pk=self.kwargs["pk"])

    def sheet(self) -> Sheet:
        return Sheet(f"Packing for {self.order.customer}", f"{self.order.number}-P")

    def context(self) -> dict[str, Any]:
        built = AsBuilt.objects.filter(order_kit__order=self.order)
        return {
            "order": self.order,
            "kits": self.order.kits.select_related("quote_kit").prefetch_related("quote_kit__lines__part"),
            "tracked": tracked_parts(self.order),
            "parcels": self.order.parcels.all(),
            "built": built.select_related("order_kit__quote_kit", "part__maker", "lot"),
        }

    def do_pack(self, typed: QueryDict) -> str:
        scanned = {
            part.number: listed(typed, f"lots-{part.pk}") for part, _pieces in tracked_parts(self.order)
        }
        parcel = pack(self.user, self.order, lots={number: lots for number, lots in scanned.items() if lots})
        messages.success(self.request, f"Packed as parcel {parcel.number}.")
        return reverse("packing", args=[self.order.pk])

    def parcel(self, typed: QueryDict) -> Parcel:
        return get_object_or_404(Parcel, order=self.order, pk=maybe_whole(typed, "parcel", "The parcel") or 0)

    def do_unpack(self, typed: QueryDict) -> str:
        parcel = self.parcel(typed)
        order = unpack(self.user, parcel)
        messages.success(
            self.request, f"Parcel {parcel} is unpacked: throw its label away, and pack {order} anew."
        )
        return reverse("packing", args=[order.pk])

    def do_ship(self, typed: QueryDict) -> str:
        gone = ship(
            self.user,
            self.parcel(typed),
            carrier=label(typed, "carrier", "The carrier", most=60),
            tracking=label(typed, "tracking", "The tracking number", most=60),
        )
        messages.success(self.request, f"Parcel {gone.number} is on its way with {gone.carrier}.")
        return reverse("packing", args=[self.order.pk])


def tracked_parts(order: Order) -> list[tuple[Part, int]]:
    """The parts of the order whose lot or serial number is recorded, with how many of each."""
    lines = QuoteLine.objects.filter(quote_kit__quote=order.quote_id, kind=QuoteLine.Kind.PART)
    counted: dict[Part, int] = {}
    for line in lines.exclude(part__tracking=Part.Tracking.NONE).select_related("part__maker", "quote_kit"):
        assert line.part is not None
        counted[line.part] = counted.get(line.part, 0) + line.quantity * line.quote_kit.quantity
    return list(counted.items())
