"""How far a bolt is screwed in, how far it must be, and what is left below it in a blind hole.

Lengths of full thread: the bolt's chamfered point and the hole's countersink do not count. The
strength rule is that of FED-STD-H28 for the worst threads that the tolerance classes let pass, with
minimum strengths; a rule of the trade, the multiple of the diameter, stands beside it.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction
from math import ceil, pi, sqrt
from typing import Final

from kits.fit.band import Band
from kits.fit.bolt_strength import BoltClass, strength
from kits.fit.errors import FitError, expect, expect_fields
from kits.fit.length import UNITS_PER_MM, Length
from kits.fit.materials import figure, material
from kits.fit.thread_limits import external_limits, internal_limits
from kits.fit.threads import Thread

_TAN_30: Final = 1 / sqrt(3)
_LARGEST_MULTIPLE: Final = 10


@dataclass(frozen=True, slots=True)
class HoleMaterial:
    """What a tapped hole is made of: least tensile strength in MPa, and the trade's multiple of d."""

    name: str
    tensile_mpa: float
    multiple: Fraction

    def __post_init__(self) -> None:
        expect_fields(self, name=str, multiple=Fraction)
        tensile = figure(self.tensile_mpa, "a hole's tensile_mpa", 1, 10_000)
        object.__setattr__(self, "tensile_mpa", tensile)
        _multiple(self.multiple)


@dataclass(frozen=True, slots=True)
class ShearAreas:
    """What would have to shear for a thread to strip, in mm2: the bolt's thread, and the nut's."""

    bolt_mm2: float
    nut_mm2: float


@dataclass(frozen=True, slots=True)
class Needed:
    """The engaged length that is needed, and every rule with its figure; `rule` alone asks for most."""

    length: Length
    basis: str
    rule: str = field(default="", compare=False)

    def __post_init__(self) -> None:
        expect_fields(self, length=Length, basis=str, rule=str)


@dataclass(frozen=True, slots=True)
class Engagement:
    """How far the bolt is screwed in, and the room left below it; below zero it bottoms."""

    engaged: Band
    room: Band | None

    def __post_init__(self) -> None:
        expect_fields(self, engaged=Band, room=(Band, type(None)))


def hole_material(text: str) -> HoleMaterial:
    """The material of a tapped hole by its name: 'steel', 'cast iron', 'aluminium'..."""
    name = material(text).name
    if name not in _HOLES:
        raise FitError(f"no strength of a thread is known in {name}; use one of {', '.join(_HOLES)}")
    return _HOLES[name]


def shear_areas(thread: Thread, engaged: Length) -> ShearAreas:
    """The areas over that engaged length by VDI 2230, for basic dimensions, uncorrected."""
    expect(thread, Thread, "a thread")
    expect(engaged, Length, "an engaged length")
    pitch = float(thread.pitch) / UNITS_PER_MM
    major, pitch_diameter, minor = map(_mm, (thread.major, thread.pitch_diameter, thread.minor_diameter))
    per_turn = pi * _mm(engaged) / pitch
    return ShearAreas(
        per_turn * minor * (pitch / 2 + (pitch_diameter - minor) * _TAN_30),
        per_turn * major * (pitch / 2 + (major - pitch_diameter) * _TAN_30),
    )


def stripping_length(
    thread: Thread, bolt: BoltClass | None = None, hole: HoleMaterial | None = None
) -> Length:
    """The least engaged length at which the bolt breaks before a thread strips, rounded up.

    By formula 1 of FED-STD-H28, which takes the hole to be as strong as the bolt; with a bolt class
    and a hole material both given, times the factor J of formula 2 where the hole is the weaker.
    """
    expect(thread, Thread, "a thread")
    expect(bolt, (BoltClass, type(None)), "a bolt's class")
    expect(hole, (HoleMaterial, type(None)), "a hole's material")
    return _stripping_length(thread, _weakness(thread, bolt, hole))


def engagement_needed(
    thread: Thread,
    bolt: BoltClass | None,
    hole: HoleMaterial | None,
    multiple: int | Decimal | Fraction | None = None,
) -> Needed:
    """The larger of what strength needs (class and material known) and a multiple of the diameter.

    The multiple is the one given, else the trade's own for the material. With neither a material
    nor a multiple there is nothing to go by, which is a FitError.
    """
    expect(thread, Thread, "a thread")
    expect(bolt, (BoltClass, type(None)), "a bolt's class")
    expect(hole, (HoleMaterial, type(None)), "a hole's material")
    candidates = [_by_strength(thread, bolt, hole)] if bolt is not None and hole is not None else []
    if multiple is not None:
        factor = _multiple(multiple)
        candidates.append((thread.major.scaled(factor, "up"), f"by {_times(factor)} as stated"))
    elif hole is not None:
        basis = f"by {_times(hole.multiple)} in {hole.name} (common practice, no source)"
        candidates.append((thread.major.scaled(hole.multiple, "up"), basis))
    if not candidates:
        raise FitError(
            f"how far {thread} must engage cannot be told; give the hole's material or a multiple of "
            "the diameter"
        )
    candidates.sort(key=lambda candidate: candidate[0], reverse=True)
    said = ", and only ".join(f"{length.format(rounding='up')} {basis}" for length, basis in candidates)
    if bolt is None or hole is None:
        unknown = "the bolt's class" if bolt is None else "the hole's material"
        said += f"; strength is not judged, since {unknown} is not known"
    length, rule = candidates[0]
    return Needed(length, said, rule)


def engagement(bolt_length: Band, clamped: Band, depth: Band | None) -> Engagement:
    """What is left of the bolt below the clamped parts, and the room under it in a hole that deep.

    Each band varies by itself. A bolt that does not reach the hole has an engagement below zero.
    """
    expect(bolt_length, Band, "a bolt's length")
    expect(clamped, Band, "the clamped length")
    expect(depth, (Band, type(None)), "a hole's depth")
    engaged = bolt_length - clamped
    return Engagement(engaged, None if depth is None else depth - engaged)


def _stripping_length(thread: Thread, factor: float) -> Length:
    """2 At / (pi Kn (1/2 + n tan30 (Es - Kn))) of the worst two threads, times a factor."""
    return Length(ceil(factor * 2 * thread.stress_area / _bolt_area(thread) * UNITS_PER_MM))


def _bolt_area(thread: Thread) -> float:
    """Shear area of the bolt's thread per mm engaged, at the largest hole and the thinnest bolt."""
    pitch = float(thread.pitch) / UNITS_PER_MM
    hole, bolt = _mm(internal_limits(thread).minor_max), _mm(external_limits(thread).pitch_min)
    return pi * hole * (1 / 2 + _TAN_30 / pitch * (bolt - hole))


def _nut_area(thread: Thread) -> float:
    """Shear area of the hole's thread per mm engaged, at the smallest bolt and the largest hole."""
    pitch = float(thread.pitch) / UNITS_PER_MM
    bolt, hole = _mm(external_limits(thread).major_min), _mm(internal_limits(thread).pitch_max)
    return pi * bolt * (1 / 2 + _TAN_30 / pitch * (bolt - hole))


def _weakness(thread: Thread, bolt: BoltClass | None, hole: HoleMaterial | None) -> float:
    """J = As times bolt strength / An times hole strength; 1 where the bolt's own thread strips first."""
    if bolt is None or hole is None:
        return 1.0
    held_by_bolt = _bolt_area(thread) * strength(thread, bolt).tensile_mpa
    return max(1.0, held_by_bolt / (_nut_area(thread) * hole.tensile_mpa))


def _by_strength(thread: Thread, bolt: BoltClass, hole: HoleMaterial) -> tuple[Length, str]:
    bolt_mpa, factor = strength(thread, bolt).tensile_mpa, _weakness(thread, bolt, hole)
    basis = (
        f"for a bolt of {bolt}, {bolt_mpa:.0f} MPa, to break before its thread strips in {hole.name} of "
        f"{hole.tensile_mpa:.0f} MPa (FED-STD-H28, J = {factor:.2f})"
    )
    return _stripping_length(thread, factor), basis


def _times(factor: Fraction) -> str:
    return f"{float(factor):g} times the diameter"


def _multiple(value: int | Decimal | Fraction) -> Fraction:
    expect(value, (int, Decimal, Fraction), "a multiple of the diameter")
    if isinstance(value, Decimal) and not value.is_finite():
        raise FitError(f"{value} is not a multiple of the diameter; write one as in 1.5")
    if not 0 < value <= _LARGEST_MULTIPLE:
        raise FitError(f"a multiple of the diameter lies above 0 and up to {_LARGEST_MULTIPLE}, not {value}")
    return Fraction(value)


def _mm(length: Length) -> float:
    return length.units / UNITS_PER_MM


# Tensile strengths: the weak end of what is usual for housings and blocks (low-carbon steel, grey iron
# of grade 200, aluminium cast without heat treatment, leaded brass and bronze), typical figures from
# memory that err low. Multiples of the diameter: common practice, no source.
_HOLES: Final = {
    hole.name: hole
    for hole in (
        HoleMaterial("steel", 360, Fraction(1)),
        HoleMaterial("stainless steel", 450, Fraction(1)),
        HoleMaterial("cast iron", 200, Fraction(3, 2)),
        HoleMaterial("ductile iron", 350, Fraction(5, 4)),
        HoleMaterial("aluminium", 180, Fraction(2)),
        HoleMaterial("brass", 200, Fraction(3, 2)),
        HoleMaterial("bronze", 180, Fraction(3, 2)),
    )
}
