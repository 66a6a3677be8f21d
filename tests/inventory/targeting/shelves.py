"""A small shop that sells two kits and some parts by themselves, with two years of sales behind it."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, timedelta
from decimal import Decimal

import numpy as np

from inventory.models import Demand, Offer, Part, PriceBreak, Supplier
from tests.inventory.builders import a_part, a_supplier, today

MONTHS = 24
# Name, price, days from order to shelf, pack.
PARTS = {
    "PUMP": ("410.00", 45, 1), "DRIVE": ("96.00", 30, 1), "SHAFT": ("58.00", 30, 1),
    "PULLEY": ("31.00", 14, 1), "BELT": ("12.50", 7, 1), "HOSE": ("8.40", 7, 1), "GASKET": ("1.90", 14, 5),
    "BOLT": ("0.22", 10, 50), "LONG BELT": ("14.00", 7, 1), "PLATE": ("44.00", 21, 1),
}  # fmt: skip
# Pieces in a kit; the belt is a choice of two.
KITS = {
    "belt-front": {"PUMP": 1, "PULLEY": 1, "BELT": 1, "HOSE": 2, "GASKET": 2, "BOLT": 8},
    "shaft-drive": {"DRIVE": 1, "SHAFT": 1, "PLATE": 1, "GASKET": 1, "BOLT": 12},
}
A_MONTH = {"belt-front": 3.0, "shaft-drive": 1.6}
LOOSE = {"HOSE": 4.0, "FILTER": 6.0, "PLUG": 0.2}


@dataclass
class Shelves:
    parts: dict[str, Part] = field(default_factory=dict)

    def part(self, name: str) -> Part:
        return self.parts[name]

    def named(self, part_id: int) -> str:
        return next(name for name, part in self.parts.items() if part.pk == part_id)


def first_of(months_back: int) -> date:
    """The first day of a month before this one."""
    number = today().year * 12 + today().month - 1 - months_back
    return date(number // 12, number % 12 + 1, 1)


def the_shelves(*, seed: int = 3, kits: bool = True) -> Shelves:
    """Parts with offers, and what was sold of them; the same seed sells the same."""
    shop = Shelves()
    suppliers = {days: _supplier(days) for _, days, _ in PARTS.values()}
    for name, (price, days, pack) in PARTS.items():
        shop.parts[name] = _offered(name, suppliers[days], price, pack)
    for name in ("FILTER", "PLUG"):
        shop.parts[name] = _offered(name, suppliers[7], "6.00", 1)
    drawn = np.random.default_rng(seed)
    rows = []
    for back in range(MONTHS, 0, -1):
        for name, mean in LOOSE.items():
            if quantity := int(drawn.poisson(mean)):
                rows.append(_sold(shop.part(name), back, quantity, int(drawn.integers(28))))
        for kit, mean in A_MONTH.items() if kits else ():
            for number in range(int(drawn.poisson(mean))):
                rows += _kit(shop, kit, back, number, drawn)
    Demand.objects.bulk_create(rows)
    return shop


def _supplier(days: int) -> Supplier:
    return a_supplier(f"Corran {days}", days)


def _offered(name: str, supplier: Supplier, price: str, pack: int) -> Part:
    part = a_part(name)
    offer = Offer.objects.create(supplier=supplier, part=part, price=Decimal(price), pack=pack, least=pack)
    if name == "BOLT":
        PriceBreak.objects.create(offer=offer, at_least=500, price=Decimal("0.15"))
    return part


def _sold(part: Part, back: int, quantity: int, day: int) -> Demand:
    return Demand(part=part, day=first_of(back) + timedelta(day), quantity=quantity, kind=Demand.Kind.LOOSE)


def _kit(shop: Shelves, kit: str, back: int, number: int, drawn: np.random.Generator) -> list[Demand]:
    day = first_of(back) + timedelta(int(drawn.integers(28)))
    long = drawn.random() < 0.3
    rows = []
    for name, quantity in KITS[kit].items():
        taken = "LONG BELT" if name == "BELT" and long else name
        rows.append(
            Demand(
                part=shop.part(taken),
                day=day,
                quantity=quantity,
                kind=Demand.Kind.KIT,
                kit=kit,
                kits=1,
                reference=f"{kit}-{back}-{number}",
                first_choice=shop.part(name) if taken != name else None,
            )
        )
    return rows
