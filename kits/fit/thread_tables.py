"""Which screw threads there are: the sizes, pitches and tolerance classes of the standards.

ISO 261/262 first and second choice from M1.6 to M64, and the UNC, UNF and UNEF series of ASME B1.1.
Entered from memory; the standards themselves were not seen. The coarse pitches, the preferred fine ones
and UNC agree with public reproductions. What can be recomputed from an entry (pitch and minor
diameters, stress areas) is held against table values in tests/published/test_fit_threads.py.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

METRIC: Final = "ISO metric"
UNIFIED: Final = "unified inch"
SYSTEMS: Final = (METRIC, UNIFIED)
UNIFIED_SERIES: Final = ("UNC", "UNF", "UNEF")

# A size in mm, its coarse pitch, its fine pitches. M14x1.25 is meant for spark plugs only.
_METRIC: Final = """
    1.6  0.35  0.2
    1.8  0.35  0.2
    2    0.4   0.25
    2.2  0.45  0.25
    2.5  0.45  0.35
    3    0.5   0.35
    3.5  0.6   0.35
    4    0.7   0.5
    4.5  0.75  0.5
    5    0.8   0.5
    6    1     0.75
    7    1     0.75
    8    1.25  1  0.75
    10   1.5   1.25 1 0.75
    12   1.75  1.5 1.25 1
    14   2     1.5 1.25 1
    16   2     1.5 1
    18   2.5   2 1.5 1
    20   2.5   2 1.5 1
    22   2.5   2 1.5 1
    24   3     2 1.5 1
    27   3     2 1.5 1
    30   3.5   3 2 1.5 1
    33   3.5   3 2 1.5
    36   4     3 2 1.5
    39   4     3 2 1.5
    42   4.5   4 3 2 1.5
    45   4.5   4 3 2 1.5
    48   5     4 3 2 1.5
    52   5     4 3 2 1.5
    56   5.5   4 3 2 1.5
    60   5.5   4 3 2 1.5
    64   6     4 3 2 1.5
"""

# A size in inches or by number, and its threads per inch in UNC, UNF and UNEF.
_UNIFIED: Final = """
    #0     -   80  -
    #1     64  72  -
    #2     56  64  -
    #3     48  56  -
    #4     40  48  -
    #5     40  44  -
    #6     32  40  -
    #8     32  36  -
    #10    24  32  -
    #12    24  28  32
    1/4    20  28  32
    5/16   18  24  32
    3/8    16  24  32
    7/16   14  20  28
    1/2    13  20  28
    9/16   12  18  24
    5/8    11  18  24
    11/16  -   -   24
    3/4    10  16  20
    13/16  -   -   20
    7/8    9   14  20
    15/16  -   -   20
    1      8   12  20
    1_1/16 -   -   18
    1_1/8  7   12  18
    1_3/16 -   -   18
    1_1/4  7   12  18
    1_5/16 -   -   18
    1_3/8  6   12  18
    1_7/16 -   -   18
    1_1/2  6   12  18
    1_9/16 -   -   18
    1_5/8  -   -   18
    1_11/16 -  -   18
    1_3/4  5   -   -
    2      4.5 -   -
    2_1/4  4.5 -   -
    2_1/2  4   -   -
    2_3/4  4   -   -
    3      4   -   -
    3_1/4  4   -   -
    3_1/2  4   -   -
    3_3/4  4   -   -
    4      4   -   -
"""


@dataclass(frozen=True, slots=True)
class Size:
    """One size of a system: as it is written, in its unit, and series by pitch as it is written."""

    label: str
    diameter: Fraction
    series: tuple[tuple[str, str], ...]  # (pitch in mm or threads per inch, series)


@dataclass(frozen=True, slots=True)
class ToleranceClass:
    """A tolerance class taken apart; of a unified class both grades are its number."""

    internal: bool
    pitch_grade: int
    crest_grade: int
    position: str


def inches_of(label: str) -> Fraction:
    """The diameter in inches of '#10', '1/2' or '1 1/8'; numbered sizes are 0.013 in apart."""
    if label.startswith("#"):
        return Fraction(60 + 13 * int(label[1:]), 1000)
    return sum((Fraction(part) for part in label.split()), Fraction(0))


def _metric_sizes() -> tuple[Size, ...]:
    rows = (line.split() for line in _METRIC.strip().splitlines())
    return tuple(
        Size(label, Fraction(label), ((coarse, "coarse"), *((pitch, "fine") for pitch in fine)))
        for label, coarse, *fine in rows
    )


def _unified_sizes() -> tuple[Size, ...]:
    sizes = []
    for line in _UNIFIED.strip().splitlines():
        written, *counts = line.split()
        label = written.replace("_", " ")
        series = tuple(
            (count, name) for count, name in zip(counts, UNIFIED_SERIES, strict=True) if count != "-"
        )
        sizes.append(Size(label, inches_of(label), series))
    return tuple(sizes)


METRIC_SIZES: Final = _metric_sizes()
UNIFIED_SIZES: Final = _unified_sizes()

_OUTSIDE = re.compile(r"(?:(?P<pitch>[3-9])(?P<letter>[efgh]))?(?P<crest>[468])(?P<position>[efgh])")
_INSIDE = re.compile(r"(?:(?P<pitch>[4-8])(?P<letter>[GH]))?(?P<crest>[4-8])(?P<position>[GH])")
_UNIFIED_CLASS = re.compile(r"(?P<number>[123])(?P<position>[AB])")


def read_class(system: str, text: str) -> ToleranceClass | None:
    """Read '6g', '5g6g', '4H5H' (ISO 965-1) or '2A' (ASME B1.1); None if it is no such class."""
    if system == UNIFIED:
        match = _UNIFIED_CLASS.fullmatch(text)
        if not match:
            return None
        number = int(match["number"])
        return ToleranceClass(match["position"] == "B", number, number, match["position"])
    match = _OUTSIDE.fullmatch(text) or _INSIDE.fullmatch(text)
    if not match or match["letter"] not in (None, match["position"]):
        return None
    crest = int(match["crest"])
    pitch = int(match["pitch"] or crest)
    return ToleranceClass(match["position"].isupper(), pitch, crest, match["position"])
