"""Screw threads by their designation: ISO metric (ISO 261/262/724) and unified inch (ASME B1.1).

Both systems share the basic profile of ISO 68-1 (60 degrees), from which every diameter follows.
Diameters are rounded to the nearest 10 nm, far below what a thread gauge sees.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from math import isqrt, pi, sqrt
from typing import Final

from kits.fit.errors import FitError, expect, expect_fields
from kits.fit.length import UNITS_PER_INCH, UNITS_PER_MM, Length, clean
from kits.fit.thread_tables import (
    METRIC,
    METRIC_SIZES,
    SYSTEMS,
    UNIFIED,
    UNIFIED_SERIES,
    UNIFIED_SIZES,
    Size,
    inches_of,
    read_class,
)

_NUMBER: Final = r"[0-9]{1,4}(?:\.[0-9]{1,6})?|\.[0-9]{1,6}"
_TAIL: Final = r"(?:\s*-\s*(?P<cls>[0-9][0-9A-Za-z]{1,3}))?(?:[\s-]+(?P<hand>LH|RH))?"
_METRIC_TEXT = re.compile(rf"[Mm]\s*(?P<size>{_NUMBER})(?:\s*[xX\u00d7]\s*(?P<pitch>{_NUMBER}))?{_TAIL}")
_INCHES: Final = rf"(?:[0-9]{{1,2}}[\s-])?[0-9]{{1,2}}/[0-9]{{1,2}}|{_NUMBER}"
_UNIFIED_TEXT = re.compile(
    rf"(?P<size>#[0-9]{{1,2}}|{_INCHES})\s*(?:in|\")?\s*-\s*(?P<count>{_NUMBER})"
    rf"(?:\s*(?P<series>UN[A-Z]*))?{_TAIL}"
)
_HOW_TO_WRITE: Final = (
    "write a metric thread as in M12, M12x1.25 or M12x1.25-6g, an inch thread as in 1/2-13 UNC, "
    "#10-32 UNF or 1/2-20 UNF-2B, and LH behind it if it is left-hand"
)

# Two threads this much alike start by hand and then strip: diameters no more than one pitch apart,
# pitches no more than a quarter apart. Common practice, no source; M6 and 1/4-20 are within it.
_CLOSE_PITCH: Final = Fraction(1, 4)


@dataclass(frozen=True, slots=True)
class Thread:
    """A screw thread, male or female; read one with thread().

    `designation` is how it is printed, and thread() reads it back; `system` is "ISO metric" or
    "unified inch"; `series` coarse, fine, UNC, UNF or UNEF; `pitch` is exact, in units of 10 nm;
    `tolerance` is the class as written ("6g", "2B"), or "" where none was given.
    """

    designation: str
    system: str
    series: str
    major: Length
    pitch: Fraction
    left_hand: bool = False
    tolerance: str = ""

    def __post_init__(self) -> None:
        expect_fields(self, designation=str, system=str, series=str, major=Length)
        expect_fields(self, pitch=Fraction, left_hand=bool, tolerance=str)
        if self.system not in SYSTEMS:
            raise FitError(f"a thread's system is {' or '.join(SYSTEMS)}, not {self.system!r}")
        if not 0 < 2 * self.pitch < self.major.units:
            raise FitError(
                f"a thread of {self.major} has a pitch above zero and below half of that; write it again"
            )
        if self.tolerance and read_class(self.system, self.tolerance) is None:
            raise FitError(_not_a_class(self.system, self.tolerance))

    def __str__(self) -> str:
        return self.designation

    @property
    def pitch_diameter(self) -> Length:
        """d2 = D2 = d - 3/4 H of ISO 724, where H = P sqrt(3)/2."""
        return self._major_less(Fraction(3, 8))

    @property
    def minor_diameter(self) -> Length:
        """D1 = d - 5/4 H of ISO 724: the basic hole of the nut thread."""
        return self._major_less(Fraction(5, 8))

    @property
    def root_diameter(self) -> Length:
        """d3 = D1 - H/6 of ISO 898-1: the bolt at the root of its thread."""
        return self._major_less(Fraction(17, 24))

    @property
    def stress_area(self) -> float:
        """In mm2: pi/4 ((d2+d3)/2)^2 of ISO 898-1, or pi/4 (D - 0.9743/n)^2 of ASME B1.1."""
        factor = 13 * sqrt(3) / 24 if self.system == METRIC else 0.9743
        mean = (self.major.units - factor * float(self.pitch)) / UNITS_PER_MM
        return pi / 4 * mean**2

    @property
    def pitch_text(self) -> str:
        """'1.75 mm', or '1.9538 mm (13 threads per inch)'."""
        in_mm = f"{float(self.pitch) / UNITS_PER_MM:.5g} mm"
        if self.system == METRIC:
            return in_mm
        return f"{in_mm} ({float(UNITS_PER_INCH / self.pitch):g} threads per inch)"

    def _major_less(self, share: Fraction) -> Length:
        """d - share P sqrt(3), rounded to the nearest unit in whole numbers."""
        part = share * self.pitch
        doubled = isqrt((12 * part * part).__floor__())  # 2 part sqrt(3), rounded down
        return Length(self.major.units - (doubled + 1) // 2)


def thread(text: str) -> Thread:
    """Read 'M12', 'M12x1.25-6g', '1/2-13 UNC', '#10-32 UNF' or '1 1/8-12 UNF-2B LH'.

    M12 alone is the coarse pitch, and an inch thread may leave out its series: the threads per inch
    tell it. A size and pitch that are in no series of the standard are a FitError that names the
    standard's own.
    """
    expect(text, str, "a thread to read")
    return _read(clean(text))


@lru_cache(maxsize=1024)  # the same few threads are asked for with every swap
def _read(cleaned: str) -> Thread:
    if match := _METRIC_TEXT.fullmatch(cleaned):
        return _metric(match)
    if match := _UNIFIED_TEXT.fullmatch(cleaned):
        return _unified(match)
    if re.search(r"[0-9],[0-9]", cleaned):
        raise FitError(f"{cleaned!r} has a comma; write the decimals with a point, as in M12x1.75")
    raise FitError(f"{cleaned!r} is not a thread; {_HOW_TO_WRITE}")


def every_thread() -> tuple[Thread, ...]:
    """Every thread that is held, right-hand and without a class."""
    metric = (f"M{size.label}x{pitch}" for size in METRIC_SIZES for pitch, _ in size.series)
    unified = (f"{size.label}-{count} {name}" for size in UNIFIED_SIZES for count, name in size.series)
    return tuple(thread(text) for text in (*metric, *unified))


def mismatch(male: Thread, female: Thread) -> str | None:
    """Why the two do not screw together, in sentences with the figures; None if they do.

    Tolerance classes do not enter: any class of one thread assembles with any of the other side.
    """
    expect(male, Thread, "the male thread")
    expect(female, Thread, "the female thread")
    faults = []
    if male.system != female.system:
        faults.append(f"one is {male.system}, the other {female.system}")
    if male.major != female.major:
        faults.append(f"the diameters are {male.major.format()} and {female.major.format()}")
    if male.pitch != female.pitch:
        faults.append(f"the pitches are {male.pitch_text} and {female.pitch_text}")
    if male.left_hand != female.left_hand:
        hands = ["left-hand" if side.left_hand else "right-hand" for side in (male, female)]
        faults.append(f"the male thread is {hands[0]}, the female {hands[1]}")
    if not faults:
        return None
    said = f"{male} does not screw into {female}: {'; '.join(faults)}."
    if _deceptive(male, female):
        said += (
            " Danger: they are so alike that they start by hand, and then bind, strip or hold by the tips."
        )
    return said


def _deceptive(male: Thread, female: Thread) -> bool:
    coarser = max(male.pitch, female.pitch)
    near = abs(male.major - female.major).units <= coarser
    return (
        male.left_hand == female.left_hand
        and near
        and abs(male.pitch - female.pitch) <= _CLOSE_PITCH * coarser
    )


def _metric(match: re.Match[str]) -> Thread:
    diameter = Fraction(match["size"])
    size = _size(METRIC_SIZES, diameter, "ISO 261 (first and second choice)", "M")
    pitch = Fraction(match["pitch"] or size.series[0][0])
    found = next(((text, name) for text, name in size.series if Fraction(text) == pitch), None)
    if found is None:
        coarse, *fine = (text for text, _ in size.series)
        length_hint = "; if it is the bolt's length, give that by itself" if pitch > 6 else ""
        raise FitError(
            f"M{size.label} has no pitch of {match['pitch']} mm; ISO 261 gives it {coarse} mm coarse "
            f"and {_listed(fine)} mm fine{length_hint}"
        )
    written, series = found
    return _thread(
        f"M{size.label}x{written}", METRIC, series, diameter * UNITS_PER_MM, pitch * UNITS_PER_MM, match
    )


def _unified(match: re.Match[str]) -> Thread:
    size = _size(UNIFIED_SIZES, _inches(match), "UNC, UNF or UNEF of ASME B1.1", "")
    count, wanted = Fraction(match["count"]), match["series"]
    if wanted not in (None, *UNIFIED_SERIES):
        raise FitError(f"{wanted} is not held; {size.label} has {_offers(size)}")
    found = next(((text, name) for text, name in size.series if Fraction(text) == count), None)
    if found is None or wanted not in (None, found[1]):
        asked = f"{match['count']} {wanted or 'threads per inch'}"
        raise FitError(f"{size.label} has no {asked}; ASME B1.1 gives it {_offers(size)}")
    written, series = found
    major, pitch = size.diameter * UNITS_PER_INCH, UNITS_PER_INCH / count
    return _thread(f"{size.label}-{written} {series}", UNIFIED, series, major, pitch, match)


def _inches(match: re.Match[str]) -> Fraction:
    """The diameter; '10-32' is number 10, since no inch size of 5 or more is held."""
    text = match["size"].replace("-", " ")
    if text.isdigit():
        number = int(text)
        if 1 <= number <= 4 and Fraction(match["count"]) > 20:
            raise FitError(f"{match[0]!r} reads as {number} in; write #{number} for the numbered size")
        return inches_of(f"#{number}") if number == 0 or 5 <= number <= 12 else Fraction(number)
    try:
        return inches_of(text)
    except ZeroDivisionError:
        raise FitError(f"{text!r} divides by zero; write the fraction again") from None


def _thread(
    name: str, system: str, series: str, major: Fraction, pitch: Fraction, match: re.Match[str]
) -> Thread:
    left_hand, tolerance = match["hand"] == "LH", match["cls"] or ""
    if tolerance and read_class(system, tolerance) is None:
        raise FitError(_not_a_class(system, tolerance))
    designation = f"{name}{'-' * bool(tolerance)}{tolerance}{'-LH' if left_hand else ''}"
    return Thread(designation, system, series, Length(int(major)), pitch, left_hand, tolerance)


def _size(sizes: tuple[Size, ...], diameter: Fraction, standard: str, prefix: str) -> Size:
    """The size of that diameter; else a FitError that names its neighbours."""
    for size in sizes:
        if size.diameter == diameter:
            return size
    below = [size.label for size in sizes if size.diameter < diameter][-1:]
    above = [size.label for size in sizes if size.diameter > diameter][:1]
    nearest = " and ".join(prefix + label for label in (*below, *above))
    asked = f"{prefix}{float(diameter):g}{'' if prefix else ' in'}"
    raise FitError(f"{asked} is not a size of {standard}; the nearest there: {nearest}")


def _offers(size: Size) -> str:
    return _listed([f"{count} threads per inch ({name})" for count, name in size.series])


def _listed(items: list[str]) -> str:
    """'1.5, 1.25 and 1'."""
    return " and ".join(part for part in (", ".join(items[:-1]), items[-1]) if part)


def _not_a_class(system: str, text: str) -> str:
    if system == UNIFIED:
        return f"{text!r} is no class of ASME B1.1; a bolt has 1A, 2A or 3A, a hole 1B, 2B or 3B"
    return f"{text!r} is no class of ISO 965-1; a bolt has one as in 6g or 5g6g, a hole as in 6H or 4H5H"
