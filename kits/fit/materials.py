"""Materials of shafts and hubs: stiffness, expansion and yield, for press and shrink fits.

Every figure here is a typical one, from memory, not a data sheet's. The yields are on the low side
of the weakest usual grade; where the grade is known, put its own: replace(steel, yield_mpa=355).
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Final

from kits.fit.errors import FitError, expect, expect_fields

Number = int | float | Decimal | Fraction
_BOUNDS: Final = {
    "young_gpa": (0.001, 10_000.0),
    "poisson": (0.0, 0.5),
    "expansion_per_k": (1e-9, 0.01),
    "yield_mpa": (0.001, 100_000.0),
}


@dataclass(frozen=True, slots=True)
class Material:
    """What a press fit needs to know of a material: GPa, ratio, 1/K and MPa, and who says so."""

    name: str
    young_gpa: float
    poisson: float
    expansion_per_k: float
    yield_mpa: float
    source: str

    def __post_init__(self) -> None:
        expect_fields(self, name=str, source=str)
        for field, (low, high) in _BOUNDS.items():
            object.__setattr__(self, field, figure(getattr(self, field), f"a material's {field}", low, high))

    @property
    def young_mpa(self) -> float:
        """Young's modulus in MPa, which is N/mm2."""
        return self.young_gpa * 1000


def material(text: str) -> Material:
    """The material of that name, in whatever case: 'steel', 'cast iron', 'aluminum'..."""
    expect(text, str, "a material's name")
    name = " ".join(text.lower().split())
    name = _ALIASES.get(name, name)
    if name not in _MATERIALS:
        raise FitError(f"no figures are known for {text[:40]!r}; use one of {', '.join(_MATERIALS)}")
    return _MATERIALS[name]


def figure(value: Number, what: str, low: float = -1e30, high: float = 1e30) -> float:
    """A finite number as a float, between low and high; else a TypeError or FitError."""
    expect(value, (int, float, Decimal, Fraction), what)
    try:
        number = float(value)
    except (OverflowError, ValueError):  # An integer too large for a float, or a signalling NaN.
        number = float("nan")
    if not low <= number <= high:
        raise FitError(f"{what} must lie between {low:g} and {high:g}, not {value}; check it and its unit")
    return number


def _typical(name: str, young: float, poisson: float, expansion: float, yields: float, weak: str) -> Material:
    source = f"typical figures, from memory; yield for {weak}"
    return Material(name, young, poisson, expansion, yields, source)


_MATERIALS: Final = {
    made.name: made
    for made in (
        _typical("steel", 207, 0.292, 11.7e-6, 210, "hot-rolled low-carbon steel"),
        _typical("stainless steel", 190, 0.305, 16e-6, 170, "annealed low-carbon austenitic steel"),
        # Grey iron breaks rather than yields. Its proof stress is judged like a yield: the equivalent
        # stress at a hub's bore is above the hoop stress that would break it, so that errs safely.
        _typical("cast iron", 100, 0.211, 10.8e-6, 98, "0.1 % proof stress of the weakest usual grey iron"),
        _typical("ductile iron", 169, 0.275, 11e-6, 250, "a ferritic grade"),
        _typical("aluminium", 71, 0.334, 23e-6, 80, "a casting that is not heat-treated"),
        _typical("brass", 106, 0.324, 19e-6, 100, "soft wrought brass"),
        _typical("bronze", 111, 0.349, 18e-6, 100, "a leaded casting"),
    )
}
_ALIASES: Final = {
    "aluminum": "aluminium",
    "iron": "cast iron",
    "grey iron": "cast iron",
    "gray iron": "cast iron",
    "nodular iron": "ductile iron",
    "stainless": "stainless steel",
}
