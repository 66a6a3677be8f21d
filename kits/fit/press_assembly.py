"""Putting a press fit together: how hot the hub, how cold the shaft.

Common practice, no source: the change of temperature is (interference + clearance wanted) divided
by (expansion x diameter). Count the whole interference, not what roughness leaves of it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from kits.fit.errors import FitError, expect
from kits.fit.length import ZERO, Length
from kits.fit.materials import Number, figure

ABSOLUTE_ZERO_C: Final = -273.15
HOTTEST_C: Final = 3000.0
CAUTIONS: Final = (
    "Hot and deeply chilled parts burn: wear gloves and eye protection, and seize nothing halfway. "
    "Liquid nitrogen and dry ice displace the air: use them only where it is well ventilated. Heat may "
    "soften hardened parts, and harm seals and grease; cold makes some steels and irons brittle. Never "
    "heat an assembled engine, or near fuel. The maker's manual and its temperature limits come first."
)


@dataclass(frozen=True, slots=True)
class Change:
    """By how many kelvin a part is heated or chilled, and to which temperature in degrees C."""

    kelvin: float
    celsius: float

    def __post_init__(self) -> None:
        figure(self.kelvin, "a change of temperature in K", 0.0)
        figure(self.celsius, "a temperature in C", ABSOLUTE_ZERO_C)


def heating_needed(
    interference: Length,
    clearance: Length,
    diameter: Length,
    expansion_per_k: Number,
    *,
    ambient_c: Number = 20,
    gained: Length = ZERO,
) -> Change:
    """How far to heat the hub, so that it goes on with this clearance at the greatest interference.

    `gained` is what chilling the shaft gives already: see gained_by_chilling.
    """
    kelvin, ambient = _change(interference, clearance, diameter, expansion_per_k, ambient_c, gained)
    if ambient + kelvin > HOTTEST_C:
        raise FitError(
            f"the hub would have to be at {ambient + kelvin:.0f} C, which no metal stands; "
            "lower the interference or the clearance, or press it on"
        )
    return Change(kelvin, ambient + kelvin)


def chilling_needed(
    interference: Length,
    clearance: Length,
    diameter: Length,
    expansion_per_k: Number,
    *,
    ambient_c: Number = 20,
) -> Change:
    """How far to chill the shaft, so that it goes in with this clearance at the greatest interference."""
    kelvin, ambient = _change(interference, clearance, diameter, expansion_per_k, ambient_c, ZERO)
    if ambient - kelvin < ABSOLUTE_ZERO_C:
        raise FitError(
            f"chilling the shaft by {kelvin:.0f} K is not possible; heat the hub instead, or as well"
        )
    return Change(kelvin, ambient - kelvin)


def gained_by_chilling(
    diameter: Length, expansion_per_k: Number, chilled_c: Number, *, ambient_c: Number = 20
) -> Length:
    """What the shaft's diameter shrinks by from ambient to chilled; rounded down to 10 nm.

    Expansion is less in deep cold: below some -100 C give a mean value over the range.
    """
    _check(diameter, expansion_per_k)
    chilled = figure(chilled_c, "the chilled shaft's temperature in C", ABSOLUTE_ZERO_C, HOTTEST_C)
    ambient = _ambient(ambient_c)
    if chilled > ambient:
        raise FitError(f"a chilled shaft is colder than the {ambient:g} C around it, not {chilled:g} C")
    return Length(int(diameter.units * float(expansion_per_k) * (ambient - chilled)))


def _change(
    interference: Length,
    clearance: Length,
    diameter: Length,
    expansion_per_k: Number,
    ambient_c: Number,
    gained: Length,
) -> tuple[float, float]:
    """The kelvin needed, none if it goes together as it is, and the ambient temperature."""
    expect(interference, Length, "an interference")
    expect(clearance, Length, "a clearance")
    expect(gained, Length, "what chilling gains")
    _check(diameter, expansion_per_k)
    for length, what in ((clearance, "the clearance wanted"), (gained, "what chilling gains")):
        if length < ZERO:
            raise FitError(f"{what} is zero or more, not {length}")
    room = max(interference + clearance - gained, ZERO)
    return room.units / (diameter.units * float(expansion_per_k)), _ambient(ambient_c)


def _check(diameter: Length, expansion_per_k: Number) -> None:
    expect(diameter, Length, "a diameter")
    if diameter <= ZERO:
        raise FitError(f"a joint's diameter is above zero, not {diameter}")
    figure(expansion_per_k, "an expansion per kelvin", 1e-9, 0.01)


def _ambient(ambient_c: Number) -> float:
    return figure(ambient_c, "the ambient temperature in C", -100.0, 100.0)
