"""Limits and fits: the deviations of a tolerance class, and what a bore and a shaft make together."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from kits.fit.band import Band
from kits.fit.errors import FitError, expect
from kits.fit.iso286 import deviation_units
from kits.fit.length import ZERO, Length

Kind = Literal["clearance", "transition", "interference"]


def limits(size: Length, tolerance_class: str) -> Band:
    """Limit deviations from the nominal size by ISO 286-1/-2: holes 'A..ZC', shafts 'a..zc'.

    Sizes above 0 up to 3150 mm, grades 01 and 0 to 18. Classes that the standard does not give at
    that size are a FitError. An inch size is read in the metric table, as 286 has no other.
    """
    lower, upper = deviation_units(size, tolerance_class)
    return Band(Length(lower), Length(upper))


@dataclass(frozen=True, slots=True)
class Pair:
    """A bore and the shaft in it."""

    bore: Band
    shaft: Band

    def __post_init__(self) -> None:
        expect(self.bore, Band, "a bore")
        expect(self.shaft, Band, "a shaft")
        if self.bore.lo < ZERO or self.shaft.lo < ZERO:
            raise FitError("a diameter is zero or more; check the sign of the bore and the shaft")

    @property
    def clearance(self) -> Band:
        """Bore less shaft, on the diameter; negative is interference."""
        return self.bore - self.shaft

    @property
    def kind(self) -> Kind:
        """'clearance' if never tight (touching included), 'interference' if never free, else 'transition'."""
        if self.clearance.lo >= ZERO:
            return "clearance"
        return "interference" if self.clearance.hi <= ZERO else "transition"


def fit_of(text: str) -> Pair:
    """The pair that a fit by ISO 286 means, as in '25 H7/p6': hole first, millimetres if no unit."""
    expect(text, str, "a fit")
    size, slash, shaft = text.rpartition("/")
    nominal, _, hole = size.strip().rpartition(" ")
    if not (slash and nominal and hole[:1].isupper() and shaft.strip()[:1].islower()):
        raise FitError(f"{text!r} is not a fit; write the size, the hole and the shaft, as in 25 H7/p6")
    return Pair(Band.parse(f"{nominal} {hole}"), Band.parse(f"{nominal} {shaft.strip()}"))


def pair(bore: Band, shaft: Band) -> Pair:
    """The pair that a bore and a shaft make."""
    return Pair(bore, shaft)
