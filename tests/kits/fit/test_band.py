from fractions import Fraction
from typing import Literal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kits.fit import Band, FitError, Length, limits

from .strategies import FACTORS, bands, lengths


@pytest.mark.parametrize(
    ("text", "lo", "hi"),
    [
        ("19.05 +0.02/-0.00 mm", "19.05 mm", "19.07 mm"),
        ("19.05 mm +0.02/-0.00", "19.05 mm", "19.07 mm"),
        ("19.05 -0.01/-0.03 mm", "19.02 mm", "19.04 mm"),
        ("19.05 -0.03/-0.01 mm", "19.02 mm", "19.04 mm"),
        ("19.05 0/-0.02 mm", "19.03 mm", "19.05 mm"),
        ("19.05 +0.02/0 mm", "19.05 mm", "19.07 mm"),
        ("19.05 +/-0.02 mm", "19.03 mm", "19.07 mm"),
        ("19.05 \u00b10.02 mm", "19.03 mm", "19.07 mm"),
        ("19.05 mm +/- 20 um", "19.03 mm", "19.07 mm"),
        ("3/4 in +0.001/-0.000", "0.75 in", "0.751 in"),
        ("0.7495-0.7500 in", "0.7495 in", "0.7500 in"),
        ("0.7495\u20130.7500 in", "0.7495 in", "0.7500 in"),
        ("0.7495..0.7500 in", "0.7495 in", "0.7500 in"),
        ("0.7495 in to 0.7500 in", "0.7495 in", "0.7500 in"),
        ("-0.03..-0.01 mm", "-0.03 mm", "-0.01 mm"),
        ("19.05 mm", "19.05 mm", "19.05 mm"),
        ("1 1/2 in", "1.5 in", "1.5 in"),
        ("25 H7 mm", "25 mm", "25.021 mm"),
        ("25 H7", "25 mm", "25.021 mm"),
        ("25 mm g6", "24.980 mm", "24.993 mm"),
        ("25 m6", "25.008 mm", "25.021 mm"),
        ("1 in H7", "25.4 mm", "25.421 mm"),
    ],
)
def test_sizes_are_read_as_they_stand_on_a_drawing(text: str, lo: str, hi: str) -> None:
    assert Band.parse(text) == Band(Length.parse(lo), Length.parse(hi))


@pytest.mark.parametrize(
    ("text", "advice"),
    [
        ("19.05 +0.02/-0.00", "has no unit"),
        ("19.05..19.07", "has no unit"),
        ("0.7500-0.7495 in", "runs from low to high"),
        ("19.05 -0.02 mm", "runs from low to high"),
        ("25 Q7", "not a tolerance class"),
        ("25 H19", "not a tolerance class"),
        ("tight", "write it as in 19.05"),
        ("", "write it as in 19.05"),
        ("19.05 +0.02/0.01 mm", "write it as in 19.05"),
        ("1/64 in +/-0.001", "not a whole number of 10 nm"),
    ],
)
def test_an_unreadable_size_is_refused_with_what_to_do(text: str, advice: str) -> None:
    with pytest.raises(FitError, match=advice):
        Band.parse(text)


@given(bands(lengths))
def test_printing_and_parsing_give_the_same_band(band: Band) -> None:
    assert Band.parse(str(band)) == band


def test_a_band_runs_from_low_to_high() -> None:
    with pytest.raises(FitError, match="runs from low to high"):
        Band(Length(2), Length(1))


@given(bands(lengths), bands(lengths), bands(lengths))
def test_adding_bands_is_associative_and_widths_add_up(a: Band, b: Band, c: Band) -> None:
    assert (a + b) + c == a + (b + c)
    assert (a - b).width == a.width + b.width
    assert a - b == -(b - a)
    assert a.middle + b.middle == (a + b).middle


@given(bands(lengths), st.sampled_from(FACTORS), st.booleans())
def test_scaling_a_band_loses_no_value_and_adds_less_than_one_step(
    band: Band, factor: Fraction, negative: bool
) -> None:
    factor = -factor if negative else factor
    ends = sorted((band.lo.units * factor, band.hi.units * factor))
    scaled = band * factor
    assert ends[0] - 1 < scaled.lo.units <= ends[0]
    assert ends[1] <= scaled.hi.units < ends[1] + 1


@given(bands(lengths), lengths)
def test_a_band_contains_its_ends_and_what_lies_between(band: Band, length: Length) -> None:
    assert band.lo in band and band.hi in band and band in band
    assert (length in band) == (band.lo <= length <= band.hi)
    assert Band(band.lo - Length(1), band.hi) not in band


@given(bands(lengths))
def test_bracketed_inches_are_rounded_outwards_or_inwards_and_never_cross(band: Band) -> None:
    sides: tuple[tuple[Literal["out", "in"], int], ...] = (("out", 1), ("in", -1))
    for rounding, side in sides:
        text = band.format(rounding=rounding)
        figures = text.split("(")[1].removesuffix(" in)").split(" to ")
        if len(figures) == 2:
            low, high = (Fraction(figure) * 2_540_000 for figure in figures)
            assert low <= high
            assert side * (band.lo.units - low) >= 0 and side * (high - band.hi.units) >= 0


def test_a_class_on_a_size_is_the_size_with_its_limits() -> None:
    size = Length.parse("40 mm")
    assert Band.parse("40 f7") == limits(size, "f7") + size
