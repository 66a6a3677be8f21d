"""Screw threads against the tables of ISO 724, ISO 898-1, ISO 965-2 and ASME B1.1.

None of the standards was seen. Where a value is called recalled, it and its attribution come from
memory, and the number was recomputed from the basic profile; the stress areas of ISO 898-1 were seen in two
public reproductions of its load tables.
"""

import pytest

from kits.fit.length import Length
from kits.fit.thread_limits import external_limits, internal_limits
from kits.fit.threads import Thread, thread


def to_um(length: Length) -> int:
    return round(length.units / 100)


def mm_as_um(text: str) -> int:
    return to_um(Length.parse(f"{text} mm"))


# ISO 724 table of d2 = D2 and d1 = D1 in mm, to 0.001 mm; recalled.
ISO_724 = """
    M6        5.350   4.917
    M6x0.75   5.513   5.188
    M7        6.350   5.917
    M8        7.188   6.647
    M8x1      7.350   6.917
    M8x0.75   7.513   7.188
    M10       9.026   8.376
    M10x1.25  9.188   8.647
    M10x1     9.350   8.917
    M12      10.863  10.106
    M12x1.5  11.026  10.376
    M12x1.25 11.188  10.647
    M14      12.701  11.835
    M14x1.5  13.026  12.376
    M16      14.701  13.835
    M16x1.5  15.026  14.376
    M18      16.376  15.294
    M18x1.5  17.026  16.376
    M20      18.376  17.294
    M20x1.5  19.026  18.376
    M22      20.376  19.294
    M22x1.5  21.026  20.376
    M24      22.051  20.752
    M24x2    22.701  21.835
"""


@pytest.mark.parametrize("row", ISO_724.strip().splitlines(), ids=str.split)
def test_basic_diameters_are_those_of_iso_724(row: str) -> None:
    text, pitch, minor = row.split()
    found = thread(text)
    assert (to_um(found.pitch_diameter), to_um(found.minor_diameter)) == (mm_as_um(pitch), mm_as_um(minor))


@pytest.mark.parametrize(
    ("text", "root_mm"),
    # ISO 898-1, d3 = d1 - H/6; recalled.
    [("M8", "6.466"), ("M10", "8.160"), ("M10x1.25", "8.466")],
)
def test_the_root_of_a_bolt_is_that_of_iso_898(text: str, root_mm: str) -> None:
    assert to_um(thread(text).root_diameter) == mm_as_um(root_mm)


# ISO 898-1 nominal stress areas in mm2, three figures. Coarse: seen in two reproductions of the load
# tables. Fine: recalled.
COARSE_AREAS = """
    M3 5.03  M3.5 6.78  M4 8.78  M5 14.2  M6 20.1  M7 28.9
    M8 36.6  M10 58.0  M12 84.3  M14 115  M16 157  M18 192
    M20 245  M22 303  M24 353  M27 459  M30 561  M33 694
    M36 817  M39 976
"""
FINE_AREAS = """
    M8x1 39.2  M10x1.25 61.2  M10x1 64.5  M12x1.5 88.1  M12x1.25 92.1  M14x1.5 125
    M16x1.5 167  M18x1.5 216  M20x1.5 272  M22x1.5 333  M24x2 384  M27x2 496
    M30x2 621  M33x2 761  M36x3 865  M39x3 1030
"""


def pairs(table: str) -> list[tuple[str, str]]:
    words = table.split()
    return list(zip(words[::2], words[1::2], strict=True))


@pytest.mark.parametrize(("text", "area"), [*pairs(COARSE_AREAS), *pairs(FINE_AREAS)])
def test_stress_areas_are_those_of_iso_898(text: str, area: str) -> None:
    assert float(f"{thread(text).stress_area:.3g}") == float(area)


@pytest.mark.parametrize(
    ("text", "area"),
    # ISO 898-1, As = pi/4 ((d2+d3)/2)^2 to four figures; recomputed by closed form, to 0.1 %.
    [("M8", 36.61), ("M10", 57.99), ("M10x1.25", 61.20)],
)
def test_stress_areas_follow_the_formula(text: str, area: float) -> None:
    assert thread(text).stress_area == pytest.approx(area, rel=1e-3)


# ASME B1.1 basic pitch and minor diameters in inches to 0.0001, and tensile stress areas in square
# inches (also Machinery's Handbook) to one in the last figure, since some editions cut it off;
# recalled, and those of UNC seen in a reproduction.
ASME_B1_1 = """
    #4-40 UNC     0.0958 0.0849 0.0060
    #6-32 UNC     0.1177 0.1042 0.0091
    #8-32 UNC     0.1437 0.1302 0.0140
    #10-24 UNC    0.1629 0.1449 0.0175
    #10-32 UNF    0.1697 0.1562 0.0200
    1/4-20 UNC    0.2175 0.1959 0.0318
    1/4-28 UNF    0.2268 0.2113 0.0364
    5/16-18 UNC   0.2764 0.2524 0.0524
    5/16-24 UNF   0.2854 0.2674 0.0580
    3/8-16 UNC    0.3344 0.3073 0.0775
    3/8-24 UNF    0.3479 0.3299 0.0878
    7/16-14 UNC   0.3911 0.3602 0.1063
    7/16-20 UNF   0.4050 0.3834 0.1187
    1/2-13 UNC    0.4500 0.4167 0.1419
    1/2-20 UNF    0.4675 0.4459 0.1599
    9/16-12 UNC   0.5084 0.4723 0.182
    5/8-11 UNC    0.5660 0.5266 0.226
    5/8-18 UNF    0.5889 0.5649 0.256
    3/4-10 UNC    0.6850 0.6417 0.334
    3/4-16 UNF    0.7094 0.6823 0.373
    7/8-9 UNC     0.8028 0.7547 0.462
    7/8-14 UNF    0.8286 0.7977 0.509
    1-8 UNC       0.9188 0.8647 0.606
    1-12 UNF      0.9459 0.9098 0.663
"""


@pytest.mark.parametrize("row", ASME_B1_1.strip().splitlines(), ids=str.split)
def test_basic_dimensions_are_those_of_asme_b1_1(row: str) -> None:
    text, pitch, minor, area = row.rsplit(maxsplit=3)
    found = thread(text)
    assert found.pitch_diameter.figure("in") == pitch
    assert found.minor_diameter.figure("in") == minor
    last_digit = 10.0 ** -len(area.partition(".")[2])
    assert found.stress_area / 25.4**2 == pytest.approx(float(area), abs=last_digit)


# ISO 965-2 limits in mm: smallest d2 and d of 6g, largest D2 and D1 of 6H; recalled. The first
# line is also ISO 965-1 by its tolerances: es -32, Td2 132, TD1 300 um.
ISO_965 = """
    M10       8.862  9.732  9.206  8.676
    M3        2.580  2.874  2.775  2.599
    M5        4.361  4.826  4.605  4.334
    M6        5.212  5.794  5.500  5.153
    M8        7.042  7.760  7.348  6.912
    M8x1      7.212  7.794  7.500  7.153
    M10x1.25  9.042  9.760  9.348  8.912
    M12      10.679 11.701 11.063 10.441
    M12x1.5  10.854 11.732 11.216 10.676
    M12x1.25 11.028 11.760 11.368 10.912
    M16      14.503 15.682 14.913 14.210
    M20      18.164 19.623 18.600 17.744
    M24      21.803 23.577 22.316 21.252
    M30      27.462 29.522 28.007 26.771
"""


@pytest.mark.parametrize("row", ISO_965.strip().splitlines(), ids=str.split)
def test_metric_limits_are_those_of_iso_965(row: str) -> None:
    text, *expected = row.split()
    assert [to_um(limit) for limit in _limits(thread(text))] == [mm_as_um(value) for value in expected]


# ASME B1.1 limits in inches: smallest pitch and major diameter of 2A, largest pitch and minor diameter
# of 2B; a class that is stated takes the place of its own side's. Those of #0 to #2 and 15/16 in were
# seen in a reproduction, the 2B ones of UNC in another; the rest are recalled. To 0.0001 in, as the
# roundings of the standard are not known in full.
ASME_LIMITS = """
    #0-80 UNF      0.0496 0.0563 0.0542 0.0514
    #1-64 UNC      0.0603 0.0686 0.0655 0.0623
    #1-72 UNF      0.0615 0.0689 0.0665 0.0635
    #2-56 UNC      0.0717 0.0813 0.0772 0.0737
    #2-64 UNF      0.0733 0.0816 0.0786 0.0753
    #10-32 UNF     0.1658 0.1831 0.1736 0.1640
    1/4-20 UNC     0.2127 0.2408 0.2224 0.2070
    3/8-24 UNF     0.3430 0.3667 0.3528 0.3400
    1/2-13 UNC     0.4435 0.4876 0.4565 0.4340
    1/2-20 UNF     0.4619 0.4906 0.4731 0.4570
    5/8-11 UNC     0.5589 0.6113 0.5732 0.5460
    3/4-10 UNC     0.6773 0.7353 0.6927 0.6630
    15/16-20 UNEF  0.8991 0.9280 0.9109 0.8950
    1-8 UNC        0.9100 0.9830 0.9276 0.8900
    #0-80 UNF-3A   0.0506 0.0568 0.0542 0.0514
    #2-56 UNC-3A   0.0728 0.0819 0.0772 0.0737
    #0-80 UNF-3B   0.0496 0.0563 0.0536 0.0514
    #2-56 UNC-3B   0.0717 0.0813 0.0765 0.0737
    15/16-20 UNEF-3A 0.9016 0.9294 0.9109 0.8950
"""


@pytest.mark.parametrize("row", ASME_LIMITS.strip().splitlines(), ids=str.split)
def test_unified_limits_are_those_of_asme_b1_1(row: str) -> None:
    text, *expected = row.rsplit(maxsplit=4)
    for limit, value in zip(_limits(thread(text)), expected, strict=True):
        assert abs(limit - Length.parse(f"{value} in")) <= Length.parse("0.0001 in")


@pytest.mark.parametrize("text", ["1/2-13 UNC", "1/4-20 UNC", "3/8-24 UNF"])
def test_the_limits_that_strength_goes_by_are_exact_where_they_are_used_most(text: str) -> None:
    row = next(line for line in ASME_LIMITS.splitlines() if line.strip().startswith(f"{text} "))
    assert [limit.figure("in") for limit in _limits(thread(text))] == row.rsplit(maxsplit=4)[1:]


# The largest minor diameter of every UNC thread in 2B, in inches to 0.001; seen in a reproduction.
UNC_MINOR = """
    3-48 .0845  4-40 .0939  5-40 .1062  6-32 .114  8-32 .139  10-24 .156  12-24 .181
    1/4-20 .207  5/16-18 .265  3/8-16 .321  7/16-14 .376  1/2-13 .434  9/16-12 .490  5/8-11 .546
    3/4-10 .663  7/8-9 .778  1-8 .890  1.125-7 .998  1.25-7 1.123  1.375-6 1.225  1.5-6 1.350
    1.75-5 1.568  2-4.5 1.795  2.25-4.5 2.045  2.5-4 2.267  2.75-4 2.517  3-4 2.767  3.25-4 3.017
    3.5-4 3.267  3.75-4 3.517
"""


@pytest.mark.parametrize(("text", "minor"), pairs(UNC_MINOR))
def test_the_largest_holes_of_unc_are_those_of_asme_b1_1(text: str, minor: str) -> None:
    size, count = text.split("-")
    numbered = size.isdigit() and float(count) > 20
    found = internal_limits(thread(f"{'#' * numbered}{text} UNC")).minor_max
    assert found == Length.parse(f"{minor} in")


def _limits(found: Thread) -> tuple[Length, Length, Length, Length]:
    bolt, hole = external_limits(found), internal_limits(found)
    return bolt.pitch_min, bolt.major_min, hole.pitch_max, hole.minor_max
