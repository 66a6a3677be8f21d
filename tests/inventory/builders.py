"""A small store room for tests: parts, places, stock, offers and orders, each in one line."""

from datetime import date, timedelta
from decimal import Decimal
from itertools import count

from django.contrib.auth.models import User
from django.db import transaction
from django.utils import timezone

from inventory.ledger import lock_stock, move, outside
from inventory.models import (
    Category,
    Lot,
    Maker,
    Movement,
    Offer,
    Part,
    Place,
    PurchaseLine,
    PurchaseOrder,
    Stock,
    Supplier,
)

_numbers = count(100)


def a_maker(name: str = "Tarn Foundry") -> Maker:
    return Maker.objects.get_or_create(name=name, defaults={"code": name.lower().replace(" ", "-")})[0]


def a_part(
    number: str = "",
    *,
    name: str = "Spacer ring",
    maker: str = "Tarn Foundry",
    tracking: str = Part.Tracking.NONE,
    home: Place | None = None,
) -> Part:
    category, _ = Category.objects.get_or_create(code="rings", defaults={"name": "Rings"})
    return Part.objects.create(
        maker=a_maker(maker),
        number=number or f"TF-{next(_numbers)}",
        name=name,
        category=category,
        price=Decimal("12.50"),
        tracking=tracking,
        home=home,
    )


def a_bin(aisle: int = 1, bay: int = 1, level: int = 1, *, hall: str = "A") -> Place:
    place, _ = Place.objects.get_or_create(
        hall=hall,
        aisle=aisle,
        bay=bay,
        level=level,
        kind=Place.Kind.BIN,
        defaults={"code": f"{hall}-{aisle}-{bay}-{level}"},
    )
    return place


def the_dock() -> Place:
    return Place.objects.get_or_create(code="DOCK", kind=Place.Kind.DOCK)[0]


def the_bench() -> Place:
    return Place.objects.get_or_create(code="BENCH", kind=Place.Kind.BENCH)[0]


def a_lot(part: Part, code: str) -> Lot:
    return Lot.objects.get_or_create(part=part, code=code)[0]


def the_founder() -> User:
    """Whoever brought the first stock in."""
    return User.objects.get_or_create(username="founder")[0]


@transaction.atomic
def put(part: Part, quantity: int, place: Place | None = None, *, lot: str = "") -> Part:
    """Stock from nowhere: a count found it. Returns the part."""
    lock_stock([part.pk])
    move(
        act=Movement.Act.COUNT,
        part=part,
        lot=a_lot(part, lot) if lot else None,
        quantity=quantity,
        origin=outside(Place.Kind.COUNT),
        destination=place or a_bin(),
        by=the_founder(),
        at=timezone.now(),
        reference="first count",
    )
    return part


def a_supplier(name: str = "Corran Supply", lead_days: int = 21) -> Supplier:
    return Supplier.objects.get_or_create(
        name=name, defaults={"code": name.lower().replace(" ", "-"), "lead_days": lead_days}
    )[0]


def an_offer(
    part: Part,
    supplier: Supplier | None = None,
    *,
    price: str = "8.00",
    pack: int = 1,
    least: int = 1,
    lead_days: int | None = None,
) -> Offer:
    return Offer.objects.create(
        part=part,
        supplier=supplier or a_supplier(),
        price=Decimal(price),
        pack=pack,
        least=least,
        lead_days=lead_days,
    )


def inbound(
    part: Part, quantity: int, *, in_days: int = 10, supplier: Supplier | None = None
) -> PurchaseLine:
    """One line of an order that was sent to a supplier."""
    order = PurchaseOrder.objects.create(
        supplier=supplier or a_supplier(),
        state=PurchaseOrder.State.SENT,
        approved_at=timezone.now(),
        approved_by=the_founder(),
        sent_at=timezone.now(),
        made_by=the_founder(),
    )
    return order.lines.create(
        part=part, quantity=quantity, price=Decimal("8.00"), due=today() + timedelta(days=in_days)
    )


def today() -> date:
    return timezone.localdate()


def stock_of(part: Part) -> tuple[int, int, int]:
    """On hand, held, committed."""
    stock = Stock.objects.get(part=part)
    return stock.on_hand, stock.held, stock.committed
