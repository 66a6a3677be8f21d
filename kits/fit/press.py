"""Press and shrink fits: pressure, stresses and what the joint carries, by Lame's thick rings.

Interference is always the diametral one: shaft diameter less bore diameter. Physics here is in
floats (mm, N, MPa); lengths stay whole steps of 10 nm.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from math import floor, hypot, inf, pi, sqrt
from typing import Final

from kits.fit.band import Band
from kits.fit.errors import FitError, expect, expect_fields
from kits.fit.length import UNITS_PER_MM, ZERO, Length
from kits.fit.materials import Material, Number, figure

ASSUMES: Final = (
    "elastic rings of equal length in plane stress (Lame), at rest and at one temperature; yield by the "
    "maximum distortion energy (von Mises) at the bores; stress raisers and the shear of the load left out"
)
FRICTION: Final = 0.1
"""On the low side for clean steel on steel; from memory. A recorded value of the joint is better."""


@dataclass(frozen=True, slots=True)
class Stress:
    """The stresses at one radius, in MPa; tension is positive, and none acts along the axis."""

    radial_mpa: float
    hoop_mpa: float

    def __post_init__(self) -> None:
        figure(self.radial_mpa, "a radial stress")
        figure(self.hoop_mpa, "a hoop stress")

    @property
    def von_mises_mpa(self) -> float:
        """The equivalent stress by maximum distortion energy, which decides here."""
        return sqrt(self.radial_mpa**2 - self.radial_mpa * self.hoop_mpa + self.hoop_mpa**2)

    @property
    def tresca_mpa(self) -> float:
        """The equivalent stress by maximum shear: the stricter view, at most 15.5 % above."""
        return max(self.radial_mpa, self.hoop_mpa, 0.0) - min(self.radial_mpa, self.hoop_mpa, 0.0)


@dataclass(frozen=True, slots=True)
class Held:
    """What a joint has at one interference. A solid shaft's `shaft_bore` is its axis."""

    interference: Length
    pressure_mpa: float
    hub_bore: Stress
    hub_outside: Stress
    shaft_surface: Stress
    shaft_bore: Stress
    hub_share: float
    """The equivalent stress at the hub's bore, as a share of the hub's yield."""
    shaft_share: float
    """The same at the shaft's bore or, if it is solid, anywhere in it."""
    axial_n: float
    torque_nm: float

    def __post_init__(self) -> None:
        places = ("hub_bore", "hub_outside", "shaft_surface", "shaft_bore")
        expect_fields(self, interference=Length, **dict.fromkeys(places, Stress))
        for field in ("pressure_mpa", "hub_share", "shaft_share", "axial_n", "torque_nm"):
            figure(getattr(self, field), f"a press fit's {field}", 0.0)

    @property
    def share(self) -> float:
        """The share of yield used by the part nearer to it."""
        return max(self.hub_share, self.shaft_share)

    def load_share(self, torque_nm: Number = 0, axial_n: Number = 0) -> float:
        """The share of the grip that a torque and an axial force together need; above 1 it slips."""
        torque, axial = figure(torque_nm, "a torque", 0.0), figure(axial_n, "an axial force", 0.0)
        if not torque and not axial:
            return 0.0
        return hypot(torque / self.torque_nm, axial / self.axial_n) if self.pressure_mpa else inf


@dataclass(frozen=True, slots=True)
class Press:
    """A press fit over a band of interference.

    `least` and `most` are None where the interference is beyond `elastic_limit`, at which `weaker`
    begins to yield: what follows there is not elastic, and no figure is made up for it.
    """

    interference: Band
    effective: Band
    """What roughness leaves of the interference; below zero there is a gap, and no pressure."""
    elastic_limit: Length
    weaker: str
    least: Held | None
    most: Held | None

    def __post_init__(self) -> None:
        expect_fields(self, interference=Band, effective=Band, elastic_limit=Length, weaker=str)
        expect_fields(self, least=(Held, type(None)), most=(Held, type(None)))

    @property
    def margin(self) -> float | None:
        """The share of yield left at the greatest interference; None beyond the elastic limit."""
        return None if self.most is None else 1 - self.most.share

    @property
    def warning(self) -> str:
        """What to say of an interference beyond the elastic limit; empty within it."""
        if self.most is not None:
            return ""
        return (
            f"at {self.interference.hi} of interference the {self.weaker} yields: it stays elastic up to "
            f"{self.elastic_limit}, and no figures are given beyond; lower the interference, or take a "
            "stronger material or a thicker wall"
        )


def press(
    interference: Band,
    diameter: Length,
    hub_outside: Length,
    shaft_bore: Length,
    length: Length,
    hub: Material,
    shaft: Material,
    *,
    friction: Number = FRICTION,
    roughness_loss: Length = ZERO,
) -> Press:
    """The press fit of a hub on a shaft, at the least and the greatest diametral interference.

    `diameter` is that of the joint and `length` the length engaged; a solid shaft has a bore of zero.
    `roughness_loss` is taken off the interference. ASSUMES says what the figures assume.
    """
    expect(interference, Band, "an interference")
    for size in (diameter, hub_outside, shaft_bore, length):
        expect(size, Length, "a size of a press fit")
    friction = check_joint(
        Band.exactly(diameter),
        Band.exactly(hub_outside),
        Band.exactly(shaft_bore),
        Band.exactly(length),
        hub,
        shaft,
        friction,
        roughness_loss,
    )
    joint = _Joint(diameter, hub_outside, shaft_bore, length, hub, shaft, friction)
    elastic_limit = joint.elastic_limit + roughness_loss

    def held(at: Length) -> Held | None:
        return None if at > elastic_limit else joint.held(at, at - roughness_loss)

    return Press(
        interference,
        interference - roughness_loss,
        elastic_limit,
        "shaft" if joint.shaft_share > joint.hub_share else "hub",
        held(interference.lo),
        held(interference.hi),
    )


def loss_by_roughness(rz_hub: Length, rz_shaft: Length) -> Length:
    """The diametral interference lost as peaks are pressed flat: 0.8 (Rz of hub + Rz of shaft).

    0.4 Rz for each surface on each side, as DIN 7190 reckons; from memory. Rounded up to 10 nm.
    """
    for rz in (rz_hub, rz_shaft):
        expect(rz, Length, "a roughness Rz")
        if rz < ZERO:
            raise FitError(f"a roughness Rz is zero or more, not {rz}")
    return (rz_hub + rz_shaft).scaled(Fraction(4, 5), "up")


def check_joint(
    diameter: Band,
    hub_outside: Band,
    shaft_bore: Band,
    length: Band,
    hub: Material,
    shaft: Material,
    friction: Number,
    roughness_loss: Length,
) -> float:
    """Refuse what is no press fit, with what to do instead; the friction as a float."""
    for size in (diameter, hub_outside, shaft_bore, length):
        expect(size, Band, "a size of a press fit")
    expect(hub, Material, "a hub's material")
    expect(shaft, Material, "a shaft's material")
    expect(roughness_loss, Length, "a loss by roughness")
    if length.lo <= ZERO:
        raise FitError(f"the engaged length is above zero, not {length}; measure how far the hub reaches")
    if shaft_bore.lo < ZERO or shaft_bore.lo == ZERO < shaft_bore.hi:
        raise FitError(f"a shaft's bore is above zero, or zero for a solid shaft, not {shaft_bore}")
    if diameter.lo <= shaft_bore.hi:
        raise FitError(
            f"the shaft's bore {shaft_bore} must be below the joint's diameter {diameter}; swap them?"
        )
    if hub_outside.lo <= diameter.hi:
        raise FitError(
            f"the hub's outside {hub_outside} must be above the joint's diameter {diameter}; swap them?"
        )
    if roughness_loss < ZERO:
        raise FitError(f"a loss by roughness is zero or more, not {roughness_loss}")
    return figure(friction, "the friction of a press fit", 0.001, 1.0)


def hub_compliance(diameter: Length, outside: Length, hub: Material) -> float:
    """How much of its diameter a hub's bore grows by, for each MPa of pressure."""
    return (_ring(diameter, outside) + hub.poisson) / hub.young_mpa


def shaft_compliance(diameter: Length, bore: Length, shaft: Material) -> float:
    """How much of its diameter a shaft shrinks by, for each MPa of pressure."""
    return (_ring(bore, diameter) - shaft.poisson) / shaft.young_mpa


def _ring(inner: Length, outer: Length) -> float:
    """(outer^2 + inner^2) / (outer^2 - inner^2): 1 for a solid body, more for a thinner wall."""
    i, o = inner.units, outer.units
    return (o * o + i * i) / ((o - i) * (o + i))


class _Joint:
    """Everything in proportion to interference, for each mm of it."""

    def __init__(
        self,
        diameter: Length,
        hub_outside: Length,
        shaft_bore: Length,
        length: Length,
        hub: Material,
        shaft: Material,
        friction: float,
    ) -> None:
        d, engaged = (size.units / UNITS_PER_MM for size in (diameter, length))
        give = hub_compliance(diameter, hub_outside, hub) + shaft_compliance(diameter, shaft_bore, shaft)
        self.solid = shaft_bore == ZERO
        self.hub_ring, self.shaft_ring = _ring(diameter, hub_outside), _ring(shaft_bore, diameter)
        self.pressure = 1 / (d * give)
        self.axial = pi * d * engaged * friction * self.pressure
        self.torque = self.axial * d / 2 / 1000
        hub_bore, _, _, shaft_bore_stress = self._stresses(self.pressure)
        self.hub_share = hub_bore.von_mises_mpa / hub.yield_mpa
        self.shaft_share = shaft_bore_stress.von_mises_mpa / shaft.yield_mpa

    @property
    def elastic_limit(self) -> Length:
        return Length(floor(UNITS_PER_MM / max(self.hub_share, self.shaft_share)))

    def held(self, interference: Length, effective: Length) -> Held:
        mm = max(effective.units, 0) / UNITS_PER_MM
        return Held(
            interference,
            self.pressure * mm,
            *self._stresses(self.pressure * mm),
            self.hub_share * mm,
            self.shaft_share * mm,
            self.axial * mm,
            self.torque * mm,
        )

    def _stresses(self, p: float) -> tuple[Stress, Stress, Stress, Stress]:
        """At the hub's bore and outside, the shaft's surface and bore (or axis)."""
        inward = 0.0 - p  # Not -p, which would turn no pressure into -0.0.
        return (
            Stress(inward, p * self.hub_ring),
            Stress(0.0, p * (self.hub_ring - 1)),
            Stress(inward, 0.0 - p * self.shaft_ring),
            Stress(inward, inward) if self.solid else Stress(0.0, 0.0 - p * (self.shaft_ring + 1)),
        )
