"""Opening stock: movements from the suppliers into the bins, at what the best offer asks, by the ledger."""

from __future__ import annotations

from datetime import datetime
from decimal import Decimal

from django.contrib.auth.models import User

from inventory.acting import ActError
from inventory.ledger import lock_stock, move, outside
from inventory.models import Lot, Movement, Part, Place
from inventory.promising import best_offers

from .known import Known
from .reading import Entry, read_csv

REFERENCE = "opening stock"


def load_stock(known: Known, by: User, at: datetime) -> None:
    """Everything of stock.csv. The first place of a part becomes its home, even with nothing in it.

    What nobody offers any more cost nothing: it was paid for long ago.
    """
    rows = read_csv("stock.csv", ["place", "part", "quantity", "lots"])
    lock_stock(part.pk for part in known.parts.values())
    suppliers = outside(Place.Kind.SUPPLIER)
    offers = best_offers(part.pk for part in known.parts.values())
    prices = {part_id: offer.price for part_id, offer in offers.items()}
    homed: dict[int, Part] = {}
    for row in rows:
        part, place = known.part(row, "part"), known.place(row, "place")
        if part.pk not in homed:
            part.home = place
            homed[part.pk] = part
        for quantity, lot in _portions(row, part):
            try:
                move(
                    act=Movement.Act.RECEIVE,
                    part=part,
                    quantity=quantity,
                    origin=suppliers,
                    destination=place,
                    by=by,
                    at=at,
                    lot=lot,
                    reference=REFERENCE,
                    cost=prices.get(part.pk, Decimal(0)) * quantity,
                )
            except ActError as error:
                raise row.wrong("quantity", error.message) from error
    Part.objects.bulk_update(homed.values(), ["home"])


def _portions(row: Entry, part: Part) -> list[tuple[int, Lot | None]]:
    """What comes in at once: all of it, or piece by piece where every piece has its serial number."""
    quantity, codes = row.whole("quantity"), row.text("lots", "").split()
    if quantity == 0:
        return []
    if part.tracking == Part.Tracking.NONE:
        if codes:
            raise row.wrong("lots", f"{part} is not tracked; leave it empty")
        return [(quantity, None)]
    wanted = quantity if part.tracking == Part.Tracking.SERIAL else 1
    if len(codes) != wanted:
        raise row.wrong("lots", f"{part} needs {wanted}, with a space between them; there are {len(codes)}")
    lots = [Lot.objects.get_or_create(part=part, code=code)[0] for code in codes]
    return [(quantity // wanted, lot) for lot in lots]
