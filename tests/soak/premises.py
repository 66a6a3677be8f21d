"""A small shop with few parts that everybody wants at once."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from django.contrib.auth.models import Group, User
from django.db import transaction
from django.utils import timezone

from inventory.ledger import lock_stock, move, outside
from inventory.models import Category, Maker, Movement, Offer, Part, Place, Supplier

from .model import Shop
from .reading import read

PARTS = 6
PIECES = 30
LEAD_DAYS = 5
DESKS = ("counter", "floor", "buying")


@dataclass(frozen=True)
class Premises:
    """What does not change while the clients are at work: ids, and the number on each part's label."""

    numbers: dict[int, str]
    homes: dict[int, int]
    bins: list[int]
    dock: int
    bench: int
    supplier: int

    @classmethod
    def found(cls) -> Premises:
        """As the database has them; a part without a home is left on the dock when it comes."""
        parts = list(Part.objects.order_by("pk"))
        dock = Place.objects.get(kind=Place.Kind.DOCK).pk
        return cls(
            numbers={part.pk: part.number for part in parts},
            homes={part.pk: part.home_id or dock for part in parts},
            bins=list(Place.objects.filter(kind=Place.Kind.BIN).order_by("pk").values_list("pk", flat=True)),
            dock=dock,
            bench=Place.objects.get(kind=Place.Kind.BENCH).pk,
            supplier=Supplier.objects.get().pk,
        )

    def model(self) -> Shop:
        """The model of the shop as it is before anybody acts."""
        there = read(self.numbers)["bins"]
        return Shop({(part, place): n for part, place, n, _ in there}, self.homes, self.bench)


def open_shop(clients: int) -> Premises:
    """Parts with some pieces on the shelf, somebody who sells them, and a user for each client."""
    supplier = Supplier.objects.create(code="corran", name="Corran Supply", lead_days=LEAD_DAYS)
    maker = Maker.objects.create(code="tarn", name="Tarn Foundry")
    category = Category.objects.create(code="rings", name="Rings")
    Place.objects.create(code="DOCK", kind=Place.Kind.DOCK)
    Place.objects.create(code="BENCH", kind=Place.Kind.BENCH)
    founder = User.objects.create_user("founder")
    for number in range(1, PARTS + 1):
        bin_ = Place.objects.create(
            code=f"A-1-{number}-1", kind=Place.Kind.BIN, hall="A", aisle=1, bay=number, level=1
        )
        part = Part.objects.create(
            maker=maker,
            number=f"TF-{100 + number}",
            name="Spacer ring",
            category=category,
            price=Decimal("12.50"),
            home=bin_ if number < PARTS else None,
        )
        Offer.objects.create(part=part, supplier=supplier, price=Decimal("8.00"))
        _first_count(part, bin_, founder)
    desks = Group.objects.filter(name__in=DESKS)
    for slot in range(1, clients + 1):
        User.objects.create_user(name_of(slot)).groups.set(desks)
    return Premises.found()


def name_of(slot: int) -> str:
    return f"client-{slot}"


@transaction.atomic
def _first_count(part: Part, place: Place, founder: User) -> None:
    lock_stock([part.pk])
    move(
        act=Movement.Act.COUNT,
        part=part,
        quantity=PIECES,
        origin=outside(Place.Kind.COUNT),
        destination=place,
        by=founder,
        at=timezone.now(),
        reference="first count",
    )
