"""What a machinist types on the command line, as exact values; FitError says how to write it."""

from __future__ import annotations

import re
from decimal import Decimal

from kits.fit import Band, FitError, Length
from kits.fit.length import NUMBER

_BARE = re.compile(rf"[+-]?\s*{NUMBER}")
_DECIMAL = re.compile(r"[+-]?(?:[0-9]{1,12}(?:\.[0-9]{0,12})?|\.[0-9]{1,12})")


def with_unit(text: str) -> str:
    """The text, in mm where it is a number alone."""
    return f"{text.strip()} mm" if _BARE.fullmatch(text.strip()) else text


def length(text: str) -> Length:
    """'25', '25 mm', '1 in' or '3/4 in'; millimetres where no unit stands."""
    return Length.parse(with_unit(text))


def size(text: str) -> Band:
    """Anything that Band.parse reads; a number alone is in millimetres."""
    return Band.parse(with_unit(text))


def number(text: str, what: str) -> Decimal:
    """A plain decimal number: '400', '0.12'."""
    cleaned = text.strip()
    if not _DECIMAL.fullmatch(cleaned):
        raise FitError(f"{what}: {cleaned[:40]!r} is not a number; write one as in 400 or 0.12, without unit")
    return Decimal(cleaned)


def whole_number(text: str, what: str) -> int:
    """A whole number: '100000'."""
    value = number(text, what)
    if value != int(value):
        raise FitError(f"{what} is a whole number, not {value}")
    return int(value)
