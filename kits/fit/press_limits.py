"""Which interference surely holds and does not overstress, where no size is known exactly.

Each size varies on its own within its band. Every figure is bounded by taking each size that it
depends on, place by place in its formula, at the end that makes it larger or smaller. With an exact
diameter the strict band is exact; a diameter's band is counted more than once, which errs, never to
flatter, by about its width over the diameter (and over the wall, if that is thin).

Why no corner is missed. With y = (d/D)^2 and z = (bore/d)^2 a ring's compliance rises with y or z
alone. Let c be the shaft's compliance times the hub's Young's modulus, plus the hub's Poisson ratio.
The interference that the hub's yield S allows is

    S / E * d * ((1 + c) + (1 - c) y) / sqrt(3 + y^2)

which rises with d and c and, over y, first rises and then falls, with its top at 3 (1 - c) / (1 + c):
its least is at an end, its greatest at the top or the end next to it. For the shaft, with c the hub's
compliance times the shaft's modulus, less the shaft's Poisson ratio, it is S / E * d * (1 + c) if it
is solid and S / E * d / 2 * ((1 + c) + (1 - c) z) if it is hollow, a straight line over z.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, floor, hypot, pi, sqrt
from typing import Final

from kits.fit.band import Band
from kits.fit.errors import expect_fields
from kits.fit.length import UNITS_PER_MM, ZERO, Length
from kits.fit.materials import Material, Number, figure
from kits.fit.press import FRICTION, check_joint, hub_compliance, shaft_compliance

_SLACK: Final = 1e-9  # Far above what floats lose on the way, far below what a micrometer reads.
_Range = tuple[float, float]


@dataclass(frozen=True, slots=True)
class InterferenceLimits:
    """Bands of diametral interference.

    Inside `strict` the joint carries its load without overstress, whatever the other sizes are in
    their bands; outside `lenient` it surely fails. None where there is no such interference: without
    a strict band nothing is sure to do, without a lenient one nothing can.
    """

    strict: Band | None
    lenient: Band | None

    def __post_init__(self) -> None:
        expect_fields(self, strict=(Band, type(None)), lenient=(Band, type(None)))


def interference_limits(
    diameter: Band,
    hub_outside: Band,
    shaft_bore: Band,
    length: Band,
    hub: Material,
    shaft: Material,
    *,
    torque_nm: Number = 0,
    axial_n: Number = 0,
    of_yield: Number = 1,
    friction: Number = FRICTION,
    roughness_loss: Length = ZERO,
) -> InterferenceLimits:
    """The interference for a torque and an axial force acting together, at that share of yield at most.

    Without any load it must only outlast the roughness. Rounded to 10 nm: strict inwards, lenient
    outwards.
    """
    friction = check_joint(diameter, hub_outside, shaft_bore, length, hub, shaft, friction, roughness_loss)
    of_yield = figure(of_yield, "the allowed share of yield", 0.001, 1.0)
    torque = _load(torque_nm, "a wanted torque in Nm") * 1000
    axial = _load(axial_n, "a wanted axial force in N")
    box = _Box(diameter, hub_outside, shaft_bore, hub, shaft)
    (need_least, need_most) = box.needed(torque, axial, _mm(length), friction)
    rooms = box.hub_room(hub), box.shaft_room(shaft)
    room_least, room_most = (of_yield * min(room[end] for room in rooms) for end in (0, 1))
    return InterferenceLimits(
        _band(_up(need_most), _down(room_least), roughness_loss),
        _band(_down(need_least), _up(room_most), roughness_loss),
    )


class _Box:
    """The joint's sizes, and what follows from them, each from its least to its greatest."""

    def __init__(
        self, diameter: Band, hub_outside: Band, shaft_bore: Band, hub: Material, shaft: Material
    ) -> None:
        self.d = _mm(diameter)
        self.solid = shaft_bore.hi == ZERO
        self.hub_wall = _squared(diameter, hub_outside)
        self.shaft_wall = _squared(shaft_bore, diameter)
        self.hub_gives = (
            hub_compliance(diameter.lo, hub_outside.hi, hub),
            hub_compliance(diameter.hi, hub_outside.lo, hub),
        )
        self.shaft_gives = (
            shaft_compliance(diameter.hi, shaft_bore.lo, shaft),
            shaft_compliance(diameter.lo, shaft_bore.hi, shaft),
        )

    def needed(self, torque_nmm: float, axial_n: float, length: _Range, friction: float) -> _Range:
        """The interference in mm whose grip carries both loads: their resultant around the joint."""

        def need(end: int) -> float:
            force = hypot(axial_n, 2 * torque_nmm / self.d[1 - end])
            return force * (self.hub_gives[end] + self.shaft_gives[end]) / (pi * length[1 - end] * friction)

        return need(0), need(1)

    def hub_room(self, hub: Material) -> _Range:
        """The interference in mm at which the hub's bore begins to yield."""

        def room(d: float, c: float, walls: Sequence[float]) -> list[float]:
            scale = hub.yield_mpa / hub.young_mpa * d
            return [scale * ((1 + c) + (1 - c) * y) / sqrt(3 + y * y) for y in walls]

        low, high = (gives * hub.young_mpa + hub.poisson for gives in self.shaft_gives)
        least, most = self.hub_wall
        top = min(max(3 * (1 - high) / (1 + high), least), most)
        return min(room(self.d[0], low, self.hub_wall)), max(room(self.d[1], high, [top]))

    def shaft_room(self, shaft: Material) -> _Range:
        """The interference in mm at which the shaft begins to yield at its bore, or all through."""

        def room(d: float, c: float) -> list[float]:
            scale = shaft.yield_mpa / shaft.young_mpa * d
            if self.solid:
                return [scale * (1 + c)]
            return [scale / 2 * ((1 + c) + (1 - c) * z) for z in self.shaft_wall]

        low, high = (gives * shaft.young_mpa - shaft.poisson for gives in self.hub_gives)
        return min(room(self.d[0], low)), max(room(self.d[1], high))


def _load(value: Number, what: str) -> float:
    """None, or enough of a load not to be lost among floats, so that it needs a step of interference."""
    load = figure(value, what, 0.0, 1e12)
    return max(load, 1e-9) if load else 0.0


def _squared(inner: Band, outer: Band) -> _Range:
    """Least and greatest (inner / outer)^2."""
    return (inner.lo.units / outer.hi.units) ** 2, (inner.hi.units / outer.lo.units) ** 2


def _mm(band: Band) -> _Range:
    return band.lo.units / UNITS_PER_MM, band.hi.units / UNITS_PER_MM


def _up(mm: float) -> Length:
    return Length(ceil(mm * UNITS_PER_MM * (1 + _SLACK)))


def _down(mm: float) -> Length:
    return Length(floor(mm * UNITS_PER_MM * (1 - _SLACK)))


def _band(lo: Length, hi: Length, loss: Length) -> Band | None:
    return Band(lo + loss, hi + loss) if lo <= hi else None
