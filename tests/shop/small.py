"""A small shop to test acts in: one kit of three slots, and what lies on its shelves.

A kit takes one pulley, one pump (kept by serial number) and four bolts. Prices: 40.00, 120.00, 1.50
each, so a kit costs 166.00. On hand: 3 pulleys, 2 pumps (N1, N2), 10 bolts; bolts and pulleys can be
bought in 5 days, pumps from nobody.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.contrib.auth.models import User
from django.db import transaction
from django.utils import timezone

from inventory import ledger
from inventory.models import Category, Lot, Maker, Movement, Offer, Part, Place, Supplier
from kits import customising, releasing
from kits.models import (
    Candidate,
    CandidatePart,
    CustomKit,
    Engine,
    EngineFamily,
    FittingStep,
    KitTemplate,
    Slot,
    TemplateRevision,
)
from shop import quoting
from shop.models import Customer, Quote

KIT_PRICE = Decimal("166.00")


@dataclass
class SmallShop:
    counter: User
    pulley: Part
    pump: Part
    bolt: Part
    bins: dict[int, Place]
    template: KitTemplate
    revision: TemplateRevision
    engine: Engine
    customer: Customer
    supplier: Supplier

    def kit(self) -> CustomKit:
        return customising.open_kit(self.counter, self.template, self.engine)

    def quote(self, quantity: int = 1, *, days: int | None = None) -> Quote:
        return quoting.quote(self.counter, self.customer, [(self.kit(), quantity)], days=days)

    @transaction.atomic
    def put(self, part: Part, quantity: int, lots: Sequence[str] = ()) -> None:
        """Count pieces into the part's bin; one lot for each piece where lots are given."""
        codes: Sequence[str | None] = lots or [None]
        for code in codes:
            ledger.lock_stock([part.pk])
            ledger.move(
                act=Movement.Act.COUNT,
                part=part,
                quantity=1 if code else quantity,
                origin=ledger.outside(Place.Kind.COUNT),
                destination=self.bins[part.pk],
                by=self.counter,
                at=timezone.now(),
                lot=Lot.objects.create(part=part, code=code) if code else None,
            )


def build(counter: User, catalogue: User) -> SmallShop:
    maker = Maker.objects.create(code="orrin", name="Orrin")
    category = Category.objects.create(code="drive", name="Drive")
    pulley, pump, bolt = (
        Part.objects.create(
            maker=maker, number=number, name=name, category=category, price=Decimal(price), tracking=tracking
        )
        for number, name, price, tracking in (
            ("OR-40", "pulley", "40.00", Part.Tracking.NONE),
            ("OR-7P", "pump", "120.00", Part.Tracking.SERIAL),
            ("OR-8B", "bolt", "1.50", Part.Tracking.NONE),
        )
    )
    bins = {part.pk: _bin(bay) for bay, part in enumerate((pulley, pump, bolt), start=1)}
    for part in (pulley, pump, bolt):
        part.home = bins[part.pk]
        part.save()
    Place.objects.create(code="DOCK", kind=Place.Kind.DOCK)
    Place.objects.create(code="BENCH", kind=Place.Kind.BENCH)
    supplier = Supplier.objects.create(code="pell", name="Pell Stores", lead_days=5)
    for part in (pulley, bolt):
        Offer.objects.create(supplier=supplier, part=part, price=part.price / 2)
    engine = _engine()
    revision = _revision(catalogue, engine, [("pulley", pulley, 1), ("pump", pump, 1), ("bolts", bolt, 4)])
    customer = Customer.objects.create(name="Ines Halloran", address="Quay 4\nSaltby")
    shop = SmallShop(
        counter, pulley, pump, bolt, bins, revision.template, revision, engine, customer, supplier
    )
    shop.put(pulley, 3)
    shop.put(pump, 2, ["N1", "N2"])
    shop.put(bolt, 10)
    return shop


def _bin(bay: int) -> Place:
    return Place.objects.create(code=f"A-1-{bay}", kind=Place.Kind.BIN, hall="A", aisle=1, bay=bay, level=1)


def _engine() -> Engine:
    family = EngineFamily.objects.create(code="tarn", maker="Orrin", name="Tarn")
    return Engine.objects.create(family=family, code="T2", name="two-cylinder", built_from=1990)


def _revision(user: User, engine: Engine, slots: Sequence[tuple[str, Part, int]]) -> TemplateRevision:
    template = KitTemplate.objects.create(code="belt-pump", name="Belt pump", purpose="Drives the pump.")
    revision = TemplateRevision.objects.create(template=template, number=1, hours=Decimal("1.50"))
    revision.engines.add(engine)
    for position, (code, part, quantity) in enumerate(slots, start=1):
        slot = Slot.objects.create(
            revision=revision, code=code, name=code.title(), position=position, quantity=quantity
        )
        if code == "bolts":
            slot.never_reuse = "They stretch once."
            slot.save()
        candidate = Candidate.objects.create(slot=slot, is_default=True)
        CandidatePart.objects.create(candidate=candidate, part=part)
    FittingStep.objects.create(
        revision=revision,
        sequence=1,
        slot=revision.slots.get(code="pulley"),
        text="Slide the pulley on.",
        way_round="Hub towards the engine.",
        caution="Engine off and cold.",
    )
    return releasing.release(user, revision)
