"""Lengths as whole numbers of 10 nm.

In that unit 0.1 um and 0.0001 in are both exact (10 and 254 units), so a metric bore and an inch
shaft compare without rounding. No float is ever involved. One inch is 25.4 mm by definition.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Context, Decimal
from fractions import Fraction
from typing import Final, Literal

from kits.fit.errors import LengthError, expect

Unit = Literal["mm", "in"]
Rounding = Literal["down", "up"]

UNITS_PER_MM: Final = 100_000
UNITS_PER_INCH: Final = 2_540_000
LARGEST: Final = 10**12  # 10 km; a parsed size beyond it is a slip of unit or keyboard

_NAMES = {
    UNITS_PER_MM: ("mm",),
    UNITS_PER_MM // 1000: ("um", "\u00b5m", "\u03bcm"),  # micro sign and Greek mu look alike
    UNITS_PER_MM * 10: ("cm",),
    UNITS_PER_MM * 1000: ("m",),
    UNITS_PER_INCH: ("in", "inch", "inches", '"'),
    UNITS_PER_INCH // 1000: ("thou",),
}
UNIT_SIZES: Final = {name: size for size, names in _NAMES.items() for name in names}

NUMBER: Final = r"(?:[0-9]+\s+[0-9]+/[0-9]+|[0-9]+/[0-9]+|[0-9]+(?:\.[0-9]+)?|\.[0-9]+)"
UNIT: Final = "(?:" + "|".join(sorted(map(re.escape, UNIT_SIZES), key=len, reverse=True)) + ")"
_LENGTH = re.compile(rf"(?P<sign>[+-]?)\s*(?P<number>{NUMBER})\s*(?P<unit>{UNIT})")
_LONGEST_TEXT = 100


@dataclass(frozen=True, slots=True, order=True)
class Length:
    """A length, or a difference of lengths, of `units` times 10 nm."""

    units: int

    def __post_init__(self) -> None:
        expect(self.units, int, "a length's units (whole steps of 10 nm)")

    @classmethod
    def parse(cls, text: str, rounding: Rounding | None = None) -> Length:
        """Read '19.05 mm', '0.7500 in', '3/4 in', '1 1/2 in', '2 thou' or '25 um'.

        Without `rounding` a value between two steps of 10 nm (1/64 in, say) is a LengthError;
        with 'down' or 'up' it becomes the next step below or above.
        """
        expect(text, str, "a length to read")
        cleaned = clean(text)
        match = _LENGTH.fullmatch(cleaned)
        if not match:
            raise LengthError(_why_unreadable(cleaned))
        number = read_number(match["number"])
        return cls.of(-number if match["sign"] == "-" else number, match["unit"], rounding)

    @classmethod
    def of(cls, number: Fraction | Decimal | int, unit: str, rounding: Rounding | None = None) -> Length:
        """The length of that number of a unit such as 'mm', 'um', 'in' or 'thou'."""
        expect(number, (int, Decimal, Fraction), "a number of units")
        expect(unit, str, "a unit")
        if unit not in UNIT_SIZES:
            raise LengthError(f"unknown unit {unit!r}; use one of {', '.join(UNIT_SIZES)}")
        if isinstance(number, Decimal) and not number.is_finite():
            raise LengthError(f"{number} is not a number that a length can have")
        exact = Fraction(number) * UNIT_SIZES[unit]
        if abs(exact) > LARGEST:
            raise LengthError("this length is beyond 10 km; check the number and its unit")
        return cls(whole(exact, rounding))

    @classmethod
    def from_mm(cls, value: Decimal | Fraction | int | str) -> Length:
        """The length of that many millimetres."""
        return cls.of(Decimal(value) if isinstance(value, str) else value, "mm")

    @property
    def mm(self) -> Decimal:
        """In millimetres, exactly (five decimals at most)."""
        return _shift(self.units, 5)

    @property
    def inch(self) -> Decimal:
        """In inches, to 28 digits: most whole metric sizes have no last digit in inches."""
        return Context(prec=28).divide(Decimal(self.units), Decimal(UNITS_PER_INCH))

    def scaled(self, factor: int | Fraction, rounding: Rounding | None = None) -> Length:
        """Times a factor: exact, or rounded down or up to 10 nm where the caller says so."""
        expect(factor, (int, Fraction), "a factor")
        return Length(whole(self.units * Fraction(factor), rounding))

    def __add__(self, other: Length) -> Length:
        return Length(self.units + other.units) if isinstance(other, Length) else NotImplemented

    def __sub__(self, other: Length) -> Length:
        return Length(self.units - other.units) if isinstance(other, Length) else NotImplemented

    def __neg__(self) -> Length:
        return Length(-self.units)

    def __abs__(self) -> Length:
        return Length(abs(self.units))

    def __mul__(self, factor: int | Fraction) -> Length:
        return self.scaled(factor)

    __rmul__ = __mul__

    def __floordiv__(self, divisor: int | Fraction) -> Length:
        """Divide exactly; a remainder is a LengthError, since dropping it would lose size."""
        expect(divisor, (int, Fraction), "a divisor")
        if divisor == 0:
            raise LengthError("a length cannot be divided by nothing")
        return self.scaled(1 / Fraction(divisor))

    def __str__(self) -> str:
        """Exact, in millimetres: '19.05 mm'. Length.parse reads it back."""
        return f"{self.figure('mm')} mm"

    def figure(self, unit: Unit, rounding: Rounding | None = None, places: int = 4) -> str:
        """The bare number: in mm exact, in inches to so many decimals (one more below a thou)."""
        if unit == "mm":
            return _padded(self.mm, 2)
        if unit != "in":
            raise LengthError(f"a reader's unit is 'mm' or 'in', not {unit!r}")
        if abs(self.units) < UNITS_PER_INCH // 1000:
            places += 1
        steps = Fraction(self.units * 10**places, UNITS_PER_INCH)
        return f"{_shift(_round(steps, rounding), places):f}"

    def format(self, unit: Unit = "mm", rounding: Rounding | None = None) -> str:
        """In the reader's unit with the other in brackets: '19.05 mm (0.7500 in)'.

        Millimetres are always exact. Inches are rounded down (to the lower value), up, or without
        `rounding` to the nearest: pass the direction that does not flatter.
        """
        other: Unit = "in" if unit == "mm" else "mm"
        return f"{self.figure(unit, rounding)} {unit} ({self.figure(other, rounding)} {other})"


ZERO: Final = Length(0)


def clean(text: str) -> str:
    """Trim, and turn the typographic minus and spaces of pasted text into plain ones."""
    if len(text) > _LONGEST_TEXT:
        raise LengthError(f"{text[:20]!r}... is too long for a size; write only the figures and the unit")
    return " ".join(text.replace("\u2212", "-").split())


def read_number(text: str) -> Fraction:
    """Read an unsigned '19.05', '3/4' or '1 1/2' exactly."""
    try:
        return sum((Fraction(part) for part in text.split()), Fraction(0))
    except ZeroDivisionError:
        raise LengthError(f"{text!r} divides by zero; write the fraction again") from None


def whole(exact: Fraction, rounding: Rounding | None) -> int:
    """A whole number of 10 nm steps, exact unless a rounding is given."""
    if rounding is None and exact.denominator != 1:
        below, above = Length(exact.__floor__()), Length(exact.__ceil__())
        raise LengthError(
            f"this length is not a whole number of 10 nm; it lies between {below} and {above}: "
            "write the one that you mean, or say which way to round"
        )
    return _round(exact, rounding)


def _round(exact: Fraction, rounding: Rounding | None) -> int:
    if rounding not in (None, "down", "up"):
        raise LengthError(f"rounding is 'down', 'up' or nothing, not {rounding!r}")
    if rounding is None:
        return round(exact)
    return exact.__floor__() if rounding == "down" else exact.__ceil__()


def _shift(number: int, places: int) -> Decimal:
    """number / 10**places without the rounding of a context."""
    sign, digits, _ = Decimal(number).as_tuple()
    return Decimal((sign, digits, -places))


def _padded(value: Decimal, least: int) -> str:
    whole_part, _, decimals = f"{value:f}".partition(".")
    return f"{whole_part}.{decimals.rstrip('0').ljust(least, '0')}"


def _why_unreadable(text: str) -> str:
    if re.fullmatch(rf"[+-]?\s*{NUMBER}", text):
        return f"{text!r} has no unit; add mm, um, in or thou"
    if re.search(r"[0-9],[0-9]", text):
        return f"{text!r} has a comma; write the decimals with a point, as in 19.05 mm"
    return f"{text!r} is not a length; write a number and a unit, as in 19.05 mm, 3/4 in or 2 thou"
