"""Does everything that is kept beside the ledger still agree with it? Reads only.

The database does it all: one pass over the movements, and of what is recomputed only the rows that differ
come back. `inventory.agreeing` holds the statements.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from itertools import islice
from typing import Any, NamedTuple

from django.db import connection
from django.db.models import QuerySet

from .agreeing import (
    FIGURES_KEPT,
    KEPT,
    MOVED,
    OF_CORRECTIONS,
    OF_MOVEMENTS,
    OF_RESERVATIONS,
    OF_WALKS,
    statement,
)
from .costing import PLACES
from .models import Correction, Lot, Part, Place, PurchaseLine

NAMED: dict[str, QuerySet[Any]] = {
    "part": Part.objects.select_related("maker"),
    "place": Place.objects.all(),
    "lot": Lot.objects.all(),
    "purchase line": PurchaseLine.objects.select_related("part__maker", "order"),
    "correction": Correction.objects.select_related("part__maker", "place"),
}
AT_ONCE = 1000  # differences whose names are looked up in one go


class Difference(NamedTuple):
    """One figure that is kept as something else than the records say; None for the keys it is not kept by."""

    what: str
    part: int | None
    place: int | None
    lot: int | None
    purchase_line: int | None
    correction: int | None
    kept: int
    expected: int

    @property
    def keys(self) -> dict[str, int]:
        """What it is kept by: the name of the thing and its id."""
        named = zip(NAMED, self[1:6], strict=True)
        return {name: int(key) for name, key in named if key is not None}

    def figure(self, steps: int) -> str:
        """Values are told in money, everything else in pieces."""
        return str(Decimal(steps).scaleb(-PLACES) if self.what.endswith("value") else int(steps))


@dataclass(frozen=True)
class Check:
    """One statement that returns the figures that differ."""

    sql: str

    def found(self) -> Iterator[Difference]:
        """The rows that differ, by what and by key."""
        with connection.cursor() as cursor:
            cursor.execute(self.sql)
            for row in cursor.fetchall():
                yield Difference(*row)

    def differences(self) -> Iterator[str]:
        """One sentence for every difference."""
        found = self.found()
        while some := list(islice(found, AT_ONCE)):
            known = {
                name: things.in_bulk({one.keys[name] for one in some if name in one.keys})
                for name, things in NAMED.items()
            }
            for one in some:
                of = ", ".join(
                    f"{name} {key} ({known[name].get(key, 'unknown')})" for name, key in one.keys.items()
                )
                yield (
                    f"{one.what} of {of}: kept as {one.figure(one.kept)}, "
                    f"but the records say {one.figure(one.expected)}"
                )


def checks() -> Iterator[Check]:
    """Every figure that is derived and kept: the ledger's in one pass over its movements, then the rest."""
    yield Check(statement(OF_MOVEMENTS, connection.vendor, MOVED))
    yield Check(statement(OF_RESERVATIONS, connection.vendor, KEPT))
    yield Check(statement((*OF_WALKS, *OF_CORRECTIONS), connection.vendor))


def figures_kept() -> int:
    """How many figures the checks compare."""
    with connection.cursor() as cursor:
        cursor.execute(FIGURES_KEPT)
        (count,) = cursor.fetchone()
        return int(count)
