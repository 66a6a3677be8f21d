"""Limits of size of screw threads: ISO 965-1 for metric threads, ASME B1.1 for unified ones.

Only the four limits that enter the strength of a thread. Formulas and the exceptions to them are
from memory; neither standard was seen. ISO 965-1 rounds its formulas to preferred numbers (R40), and
in a few places tabulates a neighbour instead: those are listed here as recalled. Grades other than 6
may miss the standard's table by one preferred number, 5 % or so of a tolerance, and limits of ASME B1.1
by 0.0001 in where its rounding falls the other way.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from math import sqrt
from typing import Final, TypeVar

from kits.fit.errors import FitError, expect, expect_fields
from kits.fit.length import UNITS_PER_INCH, UNITS_PER_MM, Length
from kits.fit.thread_tables import METRIC, UNIFIED, ToleranceClass, read_class
from kits.fit.threads import Thread

Key = TypeVar("Key")

_UNITS_PER_UM: Final = UNITS_PER_MM // 1000
_UNITS_PER_TENTH: Final = UNITS_PER_INCH // 10_000  # of a thou, the last digit of ASME B1.1
_USUAL: Final = {
    (METRIC, False): "6g",
    (METRIC, True): "6H",
    (UNIFIED, False): "2A",
    (UNIFIED, True): "2B",
}

_R40: Final = (
    *(100, 106, 112, 118, 125, 132, 140, 150, 160, 170, 180, 190, 200, 212, 224, 236, 250, 265, 280, 300),
    *(315, 335, 355, 375, 400, 425, 450, 475, 500, 530, 560, 600, 630, 670, 710, 750, 800, 850, 900, 950),
)
_DIAMETER_ENDS_MM: Final = (1.4, 2.8, 5.6, 11.2, 22.4, 45, 90)
_GRADES: Final = {3: 0.5, 4: 0.63, 5: 0.8, 6: 1.0, 7: 1.25, 8: 1.6, 9: 2.0}
_POSITIONS_UM: Final = {"e": 50, "f": 30, "g": 15, "G": 15}  # and 11 um more per mm of pitch; h and H: 0

# Where grade 6 is tabulated beside its formula, in um by pitch in mm.
_MAJOR_TABLED: Final = {4.0: 475}
_MINOR_TABLED: Final = {0.5: 140, 1.0: 236, 2.5: 450}
_POSITION_TABLED: Final = {("g", 0.75): 22}
_BOLT_PITCH_TABLED: Final = {(5.6, 0.5): 75, (90, 5.0): 250}  # by the end of the range of diameters
_NUT_PITCH_TABLED: Final = {132: 180, 140: 190}  # by the bolt's tolerance

_UNIFIED_PITCH: Final = {1: 1.5, 2: 1.0, 3: 0.75}
_UNIFIED_NUT_PITCH: Final = {1: 1.95, 2: 1.3, 3: 0.975}


@dataclass(frozen=True, slots=True)
class ExternalLimits:
    """The smallest bolt thread that its class lets pass."""

    tolerance: str
    pitch_min: Length
    major_min: Length

    def __post_init__(self) -> None:
        expect_fields(self, tolerance=str, pitch_min=Length, major_min=Length)


@dataclass(frozen=True, slots=True)
class InternalLimits:
    """The largest nut thread that its class lets pass."""

    tolerance: str
    pitch_max: Length
    minor_max: Length

    def __post_init__(self) -> None:
        expect_fields(self, tolerance=str, pitch_max=Length, minor_max=Length)


def external_limits(thread: Thread) -> ExternalLimits:
    """Of the bolt thread: by its own class if that is a bolt's, else by the usual 6g or 2A."""
    expect(thread, Thread, "a thread")
    return _external(thread)


@lru_cache(maxsize=1024)
def _external(thread: Thread) -> ExternalLimits:
    name, tolerance = _class(thread, internal=False)
    if thread.system == METRIC:
        shift = _metric_shift(thread, tolerance)
        pitch = _metric_pitch(thread, tolerance.pitch_grade)
        major = _metric_major(thread, tolerance.crest_grade)
        return ExternalLimits(
            name,
            _um(_basic_um(thread.pitch_diameter) - shift - pitch),
            _um(_basic_um(thread.major) - shift - major),
        )
    number = tolerance.pitch_grade
    basis = _unified_pitch(thread)
    allowance = 0 if number == 3 else _tenths(0.3 * basis)
    pitch = _tenths(_UNIFIED_PITCH[number] * basis)
    major = _tenths((0.09 if number == 1 else 0.06) * _inches(thread.pitch) ** (2 / 3))
    return ExternalLimits(
        name,
        _tenths_length(_basic_tenths(thread.pitch_diameter) - allowance - pitch),
        _tenths_length(_basic_tenths(thread.major) - allowance - major),
    )


def internal_limits(thread: Thread) -> InternalLimits:
    """Of the nut thread: by its own class if that is a nut's, else by the usual 6H or 2B."""
    expect(thread, Thread, "a thread")
    return _internal(thread)


@lru_cache(maxsize=1024)
def _internal(thread: Thread) -> InternalLimits:
    name, tolerance = _class(thread, internal=True)
    if thread.system == METRIC:
        shift = _metric_shift(thread, tolerance)
        pitch = _metric_nut_pitch(thread, tolerance.pitch_grade)
        minor = _metric_minor(thread, tolerance.crest_grade)
        return InternalLimits(
            name,
            _um(_basic_um(thread.pitch_diameter) + shift + pitch),
            _um(_basic_um(thread.minor_diameter) + shift + minor),
        )
    number = tolerance.pitch_grade
    pitch = _tenths(_UNIFIED_NUT_PITCH[number] * _unified_pitch(thread))
    basic = thread.minor_diameter.units / UNITS_PER_INCH
    largest = _tenths(basic + _unified_minor(thread, number))
    if number < 3 and thread.major.units * 1000 >= 138 * UNITS_PER_INCH:
        largest = 10 * round(largest / 10)  # tabulated to 0.001 in from #6 up
    return InternalLimits(
        name, _tenths_length(_basic_tenths(thread.pitch_diameter) + pitch), _tenths_length(largest)
    )


def _class(thread: Thread, internal: bool) -> tuple[str, ToleranceClass]:
    stated = read_class(thread.system, thread.tolerance)
    if stated is not None and stated.internal is internal:
        return thread.tolerance, stated
    name = _USUAL[thread.system, internal]
    usual = read_class(thread.system, name)
    assert usual is not None
    return name, usual


def _metric_shift(thread: Thread, tolerance: ToleranceClass) -> int:
    """How far the class begins from the basic profile, in um."""
    pitch, position = _mm(thread.pitch), tolerance.position
    if position not in _POSITIONS_UM:
        return 0
    if (position.lower(), pitch) in _POSITION_TABLED:
        return _POSITION_TABLED[position.lower(), pitch]
    return _preferred(_POSITIONS_UM[position] + 11 * pitch)


def _metric_pitch(thread: Thread, grade: int) -> int:
    """Td2 = 90 P^0.4 d^0.1 um, where d is the geometric mean of the range of diameters."""
    diameter, pitch = thread.major.units / UNITS_PER_MM, _mm(thread.pitch)
    place = next(i for i, end in enumerate(_DIAMETER_ENDS_MM) if diameter <= end)
    low, high = (0.99, *_DIAMETER_ENDS_MM)[place], _DIAMETER_ENDS_MM[place]
    basis = 90 * pitch**0.4 * sqrt(low * high) ** 0.1
    return _graded(basis, grade, (high, pitch), _BOLT_PITCH_TABLED)


def _metric_nut_pitch(thread: Thread, grade: int) -> int:
    """TD2 = 1.32 Td2."""
    bolt = _metric_pitch(thread, grade)
    return _NUT_PITCH_TABLED.get(bolt, _preferred(1.32 * bolt))


def _metric_major(thread: Thread, grade: int) -> int:
    """Td = 180 P^(2/3) - 3.15 / sqrt(P) um."""
    pitch = _mm(thread.pitch)
    return _graded(180 * pitch ** (2 / 3) - 3.15 / sqrt(pitch), grade, pitch, _MAJOR_TABLED)


def _metric_minor(thread: Thread, grade: int) -> int:
    """TD1 = 433 P - 190 P^1.22 um below a pitch of 1 mm, else 230 P^0.7 um."""
    pitch = _mm(thread.pitch)
    if pitch < 0.3 and grade > 5:
        raise FitError(f"ISO 965-1 has no {grade}H for {thread}; state the hole's class, as in {thread}-5H")
    basis = 433 * pitch - 190 * pitch**1.22 if pitch < 1 else 230 * pitch**0.7
    return _graded(basis, grade, pitch, _MINOR_TABLED)


def _graded(basis: float, grade: int, key: Key, tabled: Mapping[Key, int]) -> int:
    """The tolerance of a grade from that of grade 6."""
    return _preferred(_GRADES[grade] * tabled.get(key, basis))


def _preferred(value_um: float) -> int:
    """The nearest number of the R40 series in whole um, as ISO 965-1 rounds."""
    series = (number * scale for scale in (0.1, 1, 10) for number in _R40)
    return round(min(series, key=lambda number: abs(number - value_um)))


def _unified_pitch(thread: Thread) -> float:
    """Td2 of class 2A in inches; the length of engagement is D, or 9 P in the series UNEF."""
    diameter, pitch = thread.major.units / UNITS_PER_INCH, _inches(thread.pitch)
    engaged = 9 * pitch if thread.series == "UNEF" else diameter
    basis = 0.0015 * diameter ** (1 / 3) + 0.0015 * sqrt(engaged) + 0.015 * pitch ** (2 / 3)
    return float(round(basis, 6))  # as the standard goes on from it


def _unified_minor(thread: Thread, number: int) -> float:
    """TD1 in inches; its cases are those of ASME B1.1 from 4 threads per inch up."""
    diameter, pitch = thread.major.units / UNITS_PER_INCH, _inches(thread.pitch)
    plain = 0.25 * pitch - 0.4 * pitch**2
    if number < 3 and diameter >= 0.25:
        return plain
    tight = 0.05 * pitch ** (2 / 3) + 0.03 * pitch / diameter - 0.002
    fine = 0.23 * pitch - 1.5 * pitch**2 if pitch < 1 / 12.5 else 0.12 * pitch
    least = plain if number < 3 else fine
    return float(min(max(tight, least), 0.394 * pitch))


def _mm(pitch: Fraction) -> float:
    return float(pitch / UNITS_PER_MM)


def _inches(pitch: Fraction) -> float:
    return float(pitch / UNITS_PER_INCH)


def _basic_um(size: Length) -> int:
    """ISO 724 gives basic diameters to the um."""
    return round(Fraction(size.units, _UNITS_PER_UM))


def _um(value: int) -> Length:
    return Length(value * _UNITS_PER_UM)


def _basic_tenths(size: Length) -> int:
    return round(Fraction(size.units, _UNITS_PER_TENTH))


def _tenths(inches: float) -> int:
    return round(inches * 10_000)


def _tenths_length(value: int) -> Length:
    return Length(value * _UNITS_PER_TENTH)
