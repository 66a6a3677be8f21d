"""Bands: the lowest and the highest value that a feature or a result can have."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Literal

from kits.fit.errors import FitError, expect
from kits.fit.iso286 import deviation_units
from kits.fit.length import NUMBER, UNIT, Length, Rounding, Unit, clean, read_number

_SIZE = rf"(?P<size>[+-]?\s*{NUMBER})\s*(?P<unit>{UNIT})?"
_LAST_UNIT = rf"\s*(?P<unit2>{UNIT})?"
_DEVIATION = rf"(?:[+-]\s*{NUMBER}|0(?:\.0+)?)"
_BOTH_WAYS = re.compile(rf"{_SIZE}\s*(?:\+/-|\+-|\u00b1)\s*(?P<by>{NUMBER}){_LAST_UNIT}")
_DEVIATIONS = re.compile(rf"{_SIZE}\s*(?P<a>{_DEVIATION})\s*/\s*(?P<b>{_DEVIATION}){_LAST_UNIT}")
_RANGE = re.compile(rf"{_SIZE}\s*(?:\.\.|\u2026|-|\u2013|\u2014|to)\s*(?P<hi>[+-]?\s*{NUMBER}){_LAST_UNIT}")
_CLASSED = re.compile(rf"{_SIZE}\s*(?P<cls>(?!{UNIT}\b)[A-Za-z]{{1,2}}[0-9]{{1,2}}){_LAST_UNIT}")
_PLAIN = re.compile(_SIZE)


@dataclass(frozen=True, slots=True)
class Band:
    """Every value from lo to hi, both included."""

    lo: Length
    hi: Length

    def __post_init__(self) -> None:
        expect(self.lo, Length, "the lower end of a band")
        expect(self.hi, Length, "the upper end of a band")
        if self.lo > self.hi:
            raise FitError(f"a band runs from low to high; {self.lo} is above {self.hi}")

    @classmethod
    def exactly(cls, size: Length) -> Band:
        """The band of a size that does not vary."""
        return cls(size, size)

    @classmethod
    def around(cls, middle: Length, half: Length) -> Band:
        """The band middle +/- half."""
        return cls(middle - half, middle + half)

    @classmethod
    def parse(cls, text: str) -> Band:
        """Read a size as it stands on a drawing.

        '19.05 +0.02/-0.00 mm', '19.05 +/-0.02 mm', '0.7495-0.7500 in' (or with an en dash, '..' or
        'to'), '25 H7' (ISO 286; millimetres unless a unit is given), or a plain length. One unit
        serves both figures. A remainder below 10 nm is an error, as in Length.parse.
        """
        expect(text, str, "a band to read")
        cleaned = clean(text)
        for pattern, read in _READERS:
            if match := pattern.fullmatch(cleaned):
                return read(match)
        raise FitError(
            f"{cleaned!r} is not a size; write it as in 19.05 +0.02/-0.00 mm, 19.05 +/-0.02 mm, "
            "0.7495..0.7500 in, 25 H7 mm or 19.05 mm"
        )

    @property
    def width(self) -> Length:
        """How far the ends are apart."""
        return self.hi - self.lo

    @property
    def middle(self) -> Fraction:
        """The middle in units of 10 nm, exactly (it may fall on half a unit)."""
        return Fraction(self.lo.units + self.hi.units, 2)

    def __add__(self, other: Band | Length) -> Band:
        if isinstance(other, Length):
            return Band(self.lo + other, self.hi + other)
        return Band(self.lo + other.lo, self.hi + other.hi) if isinstance(other, Band) else NotImplemented

    def __sub__(self, other: Band | Length) -> Band:
        """Every difference of a value of this band and, independently, one of the other."""
        return self + (-other) if isinstance(other, Band | Length) else NotImplemented

    def __neg__(self) -> Band:
        return Band(-self.hi, -self.lo)

    def __mul__(self, factor: int | Fraction) -> Band:
        """Scaled; where 10 nm does not divide, rounded outwards, so that no value is lost."""
        expect(factor, (int, Fraction), "a factor")
        near, far = (self.lo, self.hi) if factor >= 0 else (self.hi, self.lo)
        return Band(near.scaled(factor, "down"), far.scaled(factor, "up"))

    __rmul__ = __mul__

    def __contains__(self, value: Length | Band) -> bool:
        """Whether a length, or the whole of another band, lies inside; the ends count as inside."""
        expect(value, (Length, Band), "what a band may contain")
        lo, hi = (value.lo, value.hi) if isinstance(value, Band) else (value, value)
        return self.lo <= lo and hi <= self.hi

    def __str__(self) -> str:
        """Exact, in millimetres: '19.05 to 19.07 mm'. Band.parse reads it back."""
        if self.lo == self.hi:
            return str(self.lo)
        return f"{self.lo.figure('mm')} to {self.hi}"

    def format(self, unit: Unit = "mm", rounding: Literal["out", "in"] = "out") -> str:
        """'19.05 to 19.07 mm (0.7500 to 0.7508 in)'.

        Inches are rounded outwards, so that what parts do never looks better than it is; for what
        is wanted of them choose 'in'.
        """
        if rounding not in ("out", "in"):
            raise FitError(f"rounding of a band is 'out' or 'in', not {rounding!r}")
        if self.lo == self.hi:
            return self.lo.format(unit)
        other: Unit = "in" if unit == "mm" else "mm"
        first, second = self._figures(unit, rounding), self._figures(other, rounding)
        return f"{first} {unit} ({second} {other})"

    def _figures(self, unit: Unit, rounding: Literal["out", "in"]) -> str:
        low: Rounding = "down" if rounding == "out" else "up"
        high: Rounding = "up" if rounding == "out" else "down"
        for places in (4, 5, 6, 7):  # a narrow band rounded inwards needs more, lest its ends cross
            ends = self.lo.figure(unit, low, places), self.hi.figure(unit, high, places)
            if Decimal(ends[0]) <= Decimal(ends[1]):
                break
        return f"{ends[0]} to {ends[1]}"


def _length(number: str, match: re.Match[str], *units: str) -> Length:
    """The length of a signed number in the first of these named units that the text gives."""
    unit = next((match[name] for name in units if match[name]), None)
    if unit is None:
        raise FitError(f"{match[0]!r} has no unit; add mm, um, in or thou")
    sign = -1 if number.startswith("-") else 1
    return Length.of(sign * read_number(number.lstrip("+- ")), unit)


def _read_both_ways(match: re.Match[str]) -> Band:
    size = _length(match["size"], match, "unit", "unit2")
    return Band.around(size, _length(match["by"], match, "unit2", "unit"))


def _read_deviations(match: re.Match[str]) -> Band:
    size = _length(match["size"], match, "unit", "unit2")
    ends = sorted(_length(match[name], match, "unit2", "unit") for name in "ab")
    return Band(size + ends[0], size + ends[1])


def _read_range(match: re.Match[str]) -> Band:
    return Band(_length(match["size"], match, "unit", "unit2"), _length(match["hi"], match, "unit2", "unit"))


def _read_classed(match: re.Match[str]) -> Band:
    unit = match["unit"] or match["unit2"] or "mm"
    sign = -1 if match["size"].startswith("-") else 1
    size = Length.of(sign * read_number(match["size"].lstrip("+- ")), unit)
    lower, upper = deviation_units(size, match["cls"])
    return Band(size + Length(lower), size + Length(upper))


def _read_plain(match: re.Match[str]) -> Band:
    return Band.exactly(_length(match["size"], match, "unit"))


_READERS: tuple[tuple[re.Pattern[str], Callable[[re.Match[str]], Band]], ...] = (
    (_PLAIN, _read_plain),
    (_BOTH_WAYS, _read_both_ways),
    (_DEVIATIONS, _read_deviations),
    (_RANGE, _read_range),
    (_CLASSED, _read_classed),
)
