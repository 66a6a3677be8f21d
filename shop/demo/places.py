"""The warehouse: halls with bins, docks, benches, and the places outside."""

from __future__ import annotations

from inventory.models import Place

from .known import Known
from .reading import Entry, read_yaml

OUTSIDE = (
    Place.Kind.SUPPLIER,
    Place.Kind.CUSTOMER,
    Place.Kind.SCRAP,
    Place.Kind.COUNT,
    Place.Kind.MAKING,
)


def load_places(known: Known) -> None:
    """Everything of places.yaml. An outside place that is there already is used as it is."""
    file = read_yaml("places.yaml")
    file.only("halls", "docks", "benches", "outside")
    places = [place for hall in file.entries("halls") for place in _bins(hall)]
    places += [Place(code=code, kind=Place.Kind.DOCK) for code in file.names("docks")]
    places += [Place(code=code, kind=Place.Kind.BENCH) for code in file.names("benches")]
    known.places |= {place.code: place for place in Place.objects.bulk_create(places)}
    outside = file.entry("outside")
    for kind in OUTSIDE:
        code = outside.text(str(kind.value))
        place, _made = Place.objects.get_or_create(kind=kind, defaults={"code": code})
        known.places[place.code] = place


def _bins(hall: Entry) -> list[Place]:
    hall.only("code", "name", "aisles", "bays", "levels")
    return [
        Place(
            code=f"{hall.text('code')}-{aisle:02d}-{bay:02d}-{level}",
            kind=Place.Kind.BIN,
            hall=hall.text("name"),
            aisle=aisle,
            bay=bay,
            level=level,
        )
        for aisle in range(1, hall.whole("aisles") + 1)
        for bay in range(1, hall.whole("bays") + 1)
        for level in range(1, hall.whole("levels") + 1)
    ]
