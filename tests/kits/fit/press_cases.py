"""Random press fits, and a second way to compute one."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Any

from hypothesis import strategies as st

from kits.fit.band import Band
from kits.fit.length import ZERO, Length
from kits.fit.materials import Material

UM = Length(100)


@dataclass(frozen=True)
class Joint:
    """The sizes and materials of a joint, exact or each in a band."""

    diameter: Band
    hub_outside: Band
    shaft_bore: Band
    length: Band
    hub: Material
    shaft: Material

    def bands(self) -> Any:
        """The first arguments of `interference_limits`."""
        return (self.diameter, self.hub_outside, self.shaft_bore, self.length, self.hub, self.shaft)

    def exact(self) -> Any:
        """The arguments of `press` for a joint whose sizes are exact."""
        sizes = (self.diameter, self.hub_outside, self.shaft_bore, self.length)
        assert all(size.lo == size.hi for size in sizes)
        return (*(size.lo for size in sizes), self.hub, self.shaft)


materials = st.builds(
    Material,
    st.just("any"),
    st.floats(1, 500),
    st.floats(0, 0.5),
    st.just(1e-5),
    st.floats(10, 1000),
    st.just("made up"),
)


@st.composite
def joints(draw: st.DrawFn, widest: int = 0, solid: bool | None = None) -> Joint:
    """A joint whose sizes vary by up to so many units of 10 nm each."""

    def band(lo: int) -> Band:
        return Band(Length(lo), Length(lo + draw(st.integers(0, widest))))

    bore = Band.exactly(ZERO)
    if solid is False or (solid is None and draw(st.booleans())):
        bore = band(draw(st.integers(10_000, 10_000_000)))
    wall = st.integers(10_000, 10_000_000)
    diameter = band(bore.hi.units + draw(wall))
    outside = band(diameter.hi.units + draw(wall))
    length = band(draw(st.integers(100_000, 20_000_000)))
    return Joint(diameter, outside, bore, length, draw(materials), draw(materials))


@st.composite
def inside(draw: st.DrawFn, joint: Joint) -> Joint:
    """The joint with each of its sizes somewhere, or at an end, in its band."""

    def pick(band: Band) -> Band:
        units = st.integers(band.lo.units, band.hi.units)
        return Band.exactly(Length(draw(st.sampled_from([band.lo.units, band.hi.units]) | units)))

    return replace(
        joint,
        diameter=pick(joint.diameter),
        hub_outside=pick(joint.hub_outside),
        shaft_bore=pick(joint.shaft_bore),
        length=pick(joint.length),
    )


def corners(joint: Joint, steps: int = 1) -> list[Joint]:
    """The joint with each size at an end of its band; the diameter also at so many steps between."""

    def ends(band: Band) -> list[Band]:
        return [Band.exactly(end) for end in sorted({band.lo, band.hi})]

    diameters = {
        joint.diameter.lo + joint.diameter.width.scaled(Fraction(i, steps), "down") for i in range(steps)
    }
    return [
        replace(joint, diameter=diameter, hub_outside=outside, shaft_bore=bore, length=length)
        for diameter in map(Band.exactly, sorted(diameters | {joint.diameter.hi}))
        for outside in ends(joint.hub_outside)
        for bore in ends(joint.shaft_bore)
        for length in ends(joint.length)
    ]


@dataclass(frozen=True)
class Rings:
    """A pressure and the stresses (radial, hoop) in MPa, as the boundary values give them."""

    pressure: float
    hub_bore: tuple[float, float]
    hub_outside: tuple[float, float]
    shaft_surface: tuple[float, float]
    shaft_bore: tuple[float, float]


def by_boundary_values(joint: Joint, interference: Length) -> Rings:
    """Solve u = A r + B / r in both bodies (plane stress), exactly, by elimination over fractions.

    No pressure on the hub's outside or in the shaft's bore (a solid shaft: B = 0); the same pressure
    on both sides of the joint; radii there apart by half the interference.
    """
    diameter, outside, bore, _, hub, shaft = joint.exact()
    a, b, c = (Fraction(size.units, 200_000) for size in (bore, diameter, outside))

    def radial(of: Material, r: Fraction) -> list[Fraction]:
        return _stress(of, r, -1)

    zero = Fraction(0)
    rows = [
        [*radial(hub, c), zero, zero, zero],
        [zero, zero, *(radial(shaft, a) if a else [zero, Fraction(1)]), zero],
        [*radial(hub, b), *(-term for term in radial(shaft, b)), zero],
        [b, 1 / b, -b, -1 / b, Fraction(interference.units, 200_000)],
    ]
    in_hub, in_shaft = _solve(rows)[:2], _solve(rows)[2:]

    def at(of: Material, constants: list[Fraction], r: Fraction) -> tuple[float, float]:
        both = (_stress(of, r, sign) if r else [_stress(of, b, sign)[0], zero] for sign in (-1, 1))
        first, second = (float(sum(k * x for k, x in zip(terms, constants, strict=True))) for terms in both)
        return first, second

    places = [(hub, in_hub, b), (hub, in_hub, c), (shaft, in_shaft, b), (shaft, in_shaft, a)]
    stresses = [at(*place) for place in places]
    return Rings(-stresses[0][0], *stresses)


def _stress(of: Material, r: Fraction, sign: int) -> list[Fraction]:
    """The factors of A and B in the radial (-1) or hoop (+1) stress at a radius."""
    young, poisson = Fraction(of.young_gpa) * 1000, Fraction(of.poisson)
    scale = young / (1 - poisson**2)
    return [scale * (1 + poisson), sign * scale * (1 - poisson) / r**2]


def _solve(rows: list[list[Fraction]]) -> list[Fraction]:
    """Gauss and Jordan: each row ends with its right-hand side."""
    rows = [list(row) for row in rows]
    for i in range(len(rows)):
        pivot = next(k for k in range(i, len(rows)) if rows[k][i])
        rows[i], rows[pivot] = rows[pivot], rows[i]
        rows[i] = [x / rows[i][i] for x in rows[i]]
        for k in range(len(rows)):
            if k != i:
                rows[k] = [x - rows[k][i] * y for x, y in zip(rows[k], rows[i], strict=True)]
    return [row[-1] for row in rows]
