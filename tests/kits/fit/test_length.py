from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kits.fit import Length, LengthError
from kits.fit.length import Rounding, Unit

from .strategies import lengths


@pytest.mark.parametrize(
    ("text", "units"),
    [
        ("0.7500 in", 1_905_000),
        ("3/4 in", 1_905_000),
        ("1 1/2 in", 3_810_000),
        ('1/32"', 79_375),
        ("19.05 mm", 1_905_000),
        ("19.05mm", 1_905_000),
        ("2 thou", 5_080),
        ("0.1 thou", 254),
        ("25 um", 2_500),
        ("25 \u00b5m", 2_500),
        ("25 \u03bcm", 2_500),
        ("0.01 um", 1),
        ("-0.02 mm", -2_000),
        ("\u22120.02 mm", -2_000),
        ("+0.02 mm", 2_000),
        (".5 mm", 50_000),
        ("  1.5   cm ", 150_000 * 10),
        ("0 mm", 0),
    ],
)
def test_the_trades_ways_of_writing_a_length_are_read_exactly(text: str, units: int) -> None:
    assert Length.parse(text) == Length(units)


@pytest.mark.parametrize(
    ("text", "advice"),
    [
        ("19.05", "has no unit; add mm"),
        ("19,05 mm", "write the decimals with a point"),
        ("1e3 mm", "is not a length; write a number and a unit"),
        ("nineteen mm", "is not a length"),
        ("", "is not a length"),
        ("mm", "is not a length"),
        ("1/0 in", "divides by zero"),
        ("1/64 in", "not a whole number of 10 nm; it lies between 0.39687 mm and 0.39688 mm"),
        ("0.002 thou", "it lies between 0.00005 mm and 0.00006 mm: write the one that you mean"),
        ("0.000001 mm", "not a whole number of 10 nm"),
        ("99999999 m", "beyond 10 km; check the number and its unit"),
        ("\u0661 mm", "is not a length"),
        ("1" * 90 + " mm", "beyond 10 km"),
        ("1" * 5000 + " mm", "too long for a size"),
    ],
)
def test_an_unreadable_length_is_refused_with_what_to_do(text: str, advice: str) -> None:
    with pytest.raises(LengthError, match=advice):
        Length.parse(text)


def test_a_value_between_two_steps_is_rounded_only_as_the_caller_says() -> None:
    assert Length.parse("1/64 in", rounding="down") == Length(39_687)
    assert Length.parse("1/64 in", rounding="up") == Length(39_688)
    assert Length.parse("-1/64 in", rounding="down") == Length(-39_688)


@given(lengths)
def test_printing_and_parsing_give_the_same_length(length: Length) -> None:
    assert Length.parse(str(length)) == length


@given(lengths)
def test_the_figure_in_the_readers_millimetres_is_exact(length: Length) -> None:
    assert Length.parse(length.format("mm").split(" (")[0]) == length


@given(st.integers(-(10**6), 10**6))
def test_whole_tenths_of_a_thou_print_and_parse_in_inches(tenths: int) -> None:
    length = Length(254 * tenths)
    assert Length.parse(length.format("in").split(" (")[0]) == length


@given(lengths)
def test_millimetres_are_exact_and_inches_good_to_28_digits(length: Length) -> None:
    assert Fraction(length.mm) * 100_000 == length.units
    assert abs(Fraction(length.inch) * 2_540_000 - length.units) < Fraction(1, 10**12)
    assert isinstance(length.mm, Decimal) and isinstance(length.inch, Decimal)


@given(lengths)
def test_bracketed_inches_are_rounded_to_the_side_asked_for(length: Length) -> None:
    down, up = Fraction(length.figure("in", "down")), Fraction(length.figure("in", "up"))
    assert down <= Fraction(length.units, 2_540_000) <= up
    assert up - down <= Fraction(1, 10_000)


@pytest.mark.parametrize(
    ("units", "unit", "rounding", "text"),
    [
        (1_905_000, "mm", None, "19.05 mm (0.7500 in)"),
        (1_905_000, "in", None, "0.7500 in (19.05 mm)"),
        (30_000, "mm", "down", "0.30 mm (0.0118 in)"),
        (30_000, "mm", "up", "0.30 mm (0.0119 in)"),
        (-30_000, "mm", "down", "-0.30 mm (-0.0119 in)"),
        (1, "mm", "up", "0.00001 mm (0.00001 in)"),
        (0, "mm", None, "0.00 mm (0.00000 in)"),
    ],
)
def test_a_length_prints_the_readers_unit_with_the_other_in_brackets(
    units: int, unit: Unit, rounding: Rounding | None, text: str
) -> None:
    assert Length(units).format(unit, rounding) == text


@given(lengths, lengths, lengths)
def test_lengths_add_and_order_like_their_units(a: Length, b: Length, c: Length) -> None:
    assert (a + b) + c == a + (b + c)
    assert a - b == -(b - a)
    assert (a < b) == (a.units < b.units)
    assert abs(a) == max(a, -a)
    assert len({a, Length(a.units)}) == 1


@given(lengths, st.integers(1, 50), st.integers(1, 50))
def test_scaling_is_exact_or_refused(length: Length, top: int, bottom: int) -> None:
    factor = Fraction(top, bottom)
    if (length.units * factor).denominator == 1:
        assert (
            length * factor == factor * length == length // (1 / factor) == Length(int(length.units * factor))
        )
    else:
        with pytest.raises(LengthError):
            length * factor
        with pytest.raises(LengthError):
            length // (1 / factor)
        assert length.scaled(factor, "up") - length.scaled(factor, "down") == Length(1)


def test_a_length_cannot_be_changed() -> None:
    with pytest.raises(AttributeError):
        Length(1).units = 2  # type: ignore[misc]  # mypy knows it, too
