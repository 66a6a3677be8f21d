"""One figure, as it is printed and as plain values for JSON.

Text is written with millimetres (MPa, N...) first and the inch world in brackets; `turned` swaps the
two for a reader who thinks in inches. So both readers see the same figures, rounded the same way.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_EVEN, Decimal
from fractions import Fraction
from typing import Any, Final, Literal

from kits.fit import Band, Length
from kits.fit.length import LARGEST, ZERO, Rounding, Unit
from kits.fit.terms import ends

_DIGITS: Final = 4
_MODES: Final = {"down": ROUND_FLOOR, "up": ROUND_CEILING, None: ROUND_HALF_EVEN}
_MM_PER_IN: Final = 25.4
_LBF_PER_N: Final = 1 / 4.4482216152605
_OTHERS: Final = {
    "MPa": ("psi", _LBF_PER_N * _MM_PER_IN**2),
    "N": ("lbf", _LBF_PER_N),
    "Nm": ("lbf ft", _LBF_PER_N * 1000 / _MM_PER_IN / 12),
    "mm2": ("in2", 1 / _MM_PER_IN**2),
    "mm": ("in", 1 / _MM_PER_IN),
}
_NUMBERS: Final = r"-?[0-9][0-9.,]*(?: to -?[0-9][0-9.,]*)?"
_BOTH: Final = re.compile(
    rf"(?P<a>{_NUMBERS}) (?P<u>mm2|mm|MPa|Nm|N) \((?P<b>{_NUMBERS}) (?P<v>in2|in|psi|lbf ft|lbf)\)"
)


@dataclass(frozen=True, slots=True)
class Said:
    """A figure: its text, and what JSON gives for it."""

    text: str
    plain: Any


def turned(text: str, unit: Unit) -> str:
    """The text for a reader of that unit: '25.40 mm (1.0000 in)' as '1.0000 in (25.40 mm)'."""
    return text if unit == "mm" else _BOTH.sub(r"\g<b> \g<v> (\g<a> \g<u>)", text)


def say(text: str) -> Said:
    """Words, the same in both."""
    return Said(text, text)


def say_length(length: Length, rounding: Rounding | None = None) -> Said:
    """Exact in mm; inches rounded that way, or to the nearest."""
    return Said(length.format(rounding=rounding), {"length": str(length), "units": length.units})


def say_band(band: Band, rounding: Literal["out", "in"] = "out") -> Said:
    """Exact in mm; inches rounded outwards for what is, inwards for what is wanted."""
    return Said(band.format(rounding=rounding), ends(band))


def say_sizes(band: Band) -> Said:
    """Sizes that an open link may have; `size_for` ends them at zero and at 10 km for want of a limit."""
    if band.hi.units >= LARGEST:
        return Said(f"at least {band.lo.format(rounding='up')}", ends(band))
    if band.lo == ZERO:
        return Said(f"at most {band.hi.format(rounding='down')}", ends(band))
    return say_band(band, "in")


def say_um(length: Length) -> Said:
    """A deviation in um with its sign, exactly: '+21', '-7', '0', '+10.5'."""
    um = Decimal(length.units) / 100
    return Said(f"{um.normalize():+f}" if um else "0", {"um": f"{um.normalize():f}", "units": length.units})


def say_quantity(value: float, unit: str, rounding: Rounding | None = None) -> Said:
    """Four digits, rounded that way: 'down' for what a part bears, 'up' for what it has to bear."""
    plain = {"value": value, "unit": unit}
    if unit not in _OTHERS:
        return Said(f"{_digits(value, rounding)} {unit}".strip(), plain)
    other, factor = _OTHERS[unit]
    return Said(
        f"{_digits(value, rounding)} {unit} ({_digits(value * factor, rounding)} {other})",
        plain,
    )


def say_celsius(celsius: float, rounding: Rounding) -> Said:
    """A temperature in whole degrees C, with F in brackets."""
    c, f = (_rounded(Decimal(x), 0, rounding) for x in (celsius, celsius * 9 / 5 + 32))
    return Said(f"{c:f} C ({f:f} F)", {"value": celsius, "unit": "C"})


def say_percent(share: float | Fraction, rounding: Rounding | None = None, places: int = 1) -> Said:
    """A share as '93.3 %'; JSON gives it from 0 to 1."""
    exact = Decimal(float(share) * 100)
    return Said(f"{_rounded(exact, places, rounding):f} %", float(share))


def _digits(value: float, rounding: Rounding | None) -> str:
    number = Decimal(value)
    if not number:
        return "0"
    return f"{_rounded(number, max(_DIGITS - 1 - number.adjusted(), 0), rounding):,f}"


def _rounded(number: Decimal, places: int, rounding: Rounding | None) -> Decimal:
    # A float such as 0.07 * 100 is off by its last bits, which must not round up a whole step.
    near = number.quantize(Decimal(1).scaleb(-12))
    found = near.quantize(Decimal(1).scaleb(-places), rounding=_MODES[rounding])
    return found if found else abs(found)
