"""The small shop at each stage of the main job, made by the acts themselves."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from decimal import Decimal
from typing import Any

from django.utils import timezone

from inventory import assembling, buying, counting, differences, rounds, targeting
from inventory.models import (
    Alert,
    Correction,
    CountLine,
    Demand,
    Difference,
    Part,
    Place,
    PurchaseLine,
    PurchaseOrder,
    Receipt,
    SupplierMail,
    Target,
    TargetRun,
    Walk,
)
from kits.models import CustomKit
from shop import noticing, ordering, packing, picking, quoting
from shop.models import Notice, Order, Parcel, Quote
from tests.clerks import Clerk
from tests.shop.small import SmallShop


@dataclass
class Stages:
    shop: SmallShop
    clerk: Clerk

    def kit(self) -> CustomKit:
        return self.shop.kit()

    def quote(self) -> Quote:
        return self.shop.quote()

    def held(self) -> Quote:
        return quoting.hold(self.shop.counter, self.shop.quote())

    def notice(self) -> Notice:
        """The date of a waiting order moved."""
        return noticing.notice(Notice.Kind.DATE_MOVED, self.waiting(), "Three days later.", timezone.now())

    def ready(self) -> Order:
        return ordering.accept(self.shop.counter, self.shop.quote())

    def waiting(self) -> Order:
        """Three kits want three pumps, and two are there."""
        return ordering.accept(self.shop.counter, self.shop.quote(3))

    def walk(self) -> Walk:
        return picking.make_walk(self.clerk("floor"), [self.ready()])

    def picked(self) -> Order:
        walk = self.walk()
        for stop in walk.stops.select_related("part", "lot", "reservation"):
            lot = stop.lot.code if stop.lot else ""
            picking.pick(self.clerk("floor"), stop, scanned=stop.part.number, lot=lot)
        return Order.objects.get(state=Order.State.PICKED)

    def lots(self, order: Order) -> dict[str, list[str]]:
        """The serials that were picked for an order, by part number."""
        assert order.reservation is not None
        stops = order.reservation.stops.filter(lot__isnull=False).select_related("part", "lot")
        return {stop.part.number: [stop.lot.code] for stop in stops if stop.lot}

    def parcel(self) -> Parcel:
        order = self.picked()
        return packing.pack(self.clerk("floor"), order, lots=self.lots(order))

    def shipped(self) -> Order:
        parcel = packing.ship(self.clerk("floor"), self.parcel(), carrier="Kelpie Vans")
        return Order.objects.get(pk=parcel.order_id)

    def asked(self) -> Demand:
        """Bolts that went out in a kit."""
        self.shipped()
        return Demand.objects.get(part=self.shop.bolt)

    def alert(self) -> Alert:
        """An order waits, and bolts can be bought."""
        self.waiting()
        return Alert.objects.get(part=self.shop.bolt)

    def draft(self) -> PurchaseOrder:
        return buying.write_order(self.clerk("buying"), self.shop.supplier, {self.shop.pulley.pk: 5})

    def sent(self) -> PurchaseOrder:
        return buying.send(self.clerk("buying"), self.draft())

    def approved(self) -> PurchaseOrder:
        (order,) = buying.approve(self.clerk("buying"), [self.draft()])
        return order

    def difference(self) -> Difference:
        line = self.sent().lines.get()
        return differences.report(self.clerk("floor"), line, 1, "another bore")

    def late_line(self) -> PurchaseLine:
        """Due three days ago."""
        order = self.sent()
        order.lines.update(due=timezone.localdate() - timedelta(days=3))
        return order.lines.get()

    def letter(self) -> SupplierMail:
        """Refused by the mail server."""
        return SupplierMail.objects.create(
            order=self.sent(),
            to="desk@pell.example",
            subject="Order",
            body="Please",
            message_id=f"<{SupplierMail.objects.count()}@shop.example>",
            state=SupplierMail.State.FAILED,
            tried_at=timezone.now(),
        )

    def delivery(self, order: PurchaseOrder) -> dict[str, Any]:
        lines = [{"line": line.pk, "quantity": line.quantity} for line in order.lines.all()]
        return {"delivery_note": "DN 1", "lines": lines}

    def count_line(self) -> CountLine:
        """The bolts, to be counted; the same line each time."""
        line = CountLine.objects.filter(part=self.shop.bolt).first()
        return line or rounds.make_round(self.clerk("floor"), "quarter", parts=[self.shop.bolt]).lines.get()

    def lying(self) -> dict[str, Any]:
        """The bolts, where they lie."""
        return {"part": self.shop.bolt.pk, "place": self.shop.bins[self.shop.bolt.pk].code}

    def correction(self) -> Correction:
        """More pulleys than one person may book without a second; it waits."""
        pulley = self.shop.pulley
        bin_ = self.shop.bins[pulley.pk]
        return counting.adjust(self.clerk("floor"), pulley, bin_, 30, "a forgotten crate")

    def target_run(self) -> TargetRun:
        """A run that nobody goes on with."""
        return targeting.unfinished() or targeting.begin(self.clerk("buying"), wanted=Decimal("0.9"))

    def target(self) -> Target:
        """Of the bolts, set by hand, and known to a run."""
        run = self.target_run()
        values = {"reorder_at": 4, "up_to": 9, "why": "so", "run": run}
        return Target.objects.get_or_create(part=self.shop.bolt, defaults=values)[0]

    def received(self) -> Receipt:
        order = self.sent()
        delivery = {line.pk: line.quantity for line in order.lines.all()}
        return buying.receive(self.clerk("buying"), order, delivery_note="DN 0", quantities=delivery)

    def boxed(self, *, made_up: int = 0) -> Part:
        """A part that is made up of a pulley and two bolts; so many of them lie on the bench."""
        pulley = self.shop.pulley
        part = Part.objects.create(
            maker=pulley.maker, number="OR-90", name="boxed", category=pulley.category, price=Decimal(50)
        )
        part.makeup.create(component=pulley, quantity=1)
        part.makeup.create(component=self.shop.bolt, quantity=2)
        if made_up:
            assembling.make_up(self.clerk("floor"), part, made_up, Place.objects.get(code="BENCH"))
        return part
