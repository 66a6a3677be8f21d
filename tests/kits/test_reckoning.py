"""Figures as the desk calculator prints them, and what it reads."""

from fractions import Fraction

import pytest

from kits.fit import Band, FitError, Length
from kits.reckoning import limits_sheet, number, size, wanted_of, whole_number
from kits.reckoning.said import (
    say_band,
    say_celsius,
    say_length,
    say_percent,
    say_quantity,
    say_sizes,
    say_um,
    turned,
)


def mm(text: str) -> Length:
    return Length.parse(f"{text} mm")


@pytest.mark.parametrize(
    ("text", "in_inches"),
    [
        ("25.40 mm (1.0000 in)", "1.0000 in (25.40 mm)"),
        (
            "it is -0.0254 to 25.40 mm (-0.0010 to 1.0000 in).",
            "it is -0.0010 to 1.0000 in (-0.0254 to 25.40 mm).",
        ),
        ("1,000 N (224.8 lbf)", "224.8 lbf (1,000 N)"),
        ("1.356 Nm (1.000 lbf ft)", "1.000 lbf ft (1.356 Nm)"),
        ("a caliper (0.02 mm)", "a caliper (0.02 mm)"),
        ("1.9538 mm (13 threads per inch)", "1.9538 mm (13 threads per inch)"),
    ],
)
def test_a_reader_of_inches_has_them_first(text: str, in_inches: str) -> None:
    assert turned(text, "in") == in_inches
    assert turned(text, "mm") == text


def test_turning_is_what_the_lengths_themselves_print_for_that_reader() -> None:
    for band in (Band(mm("19.05"), mm("19.083")), Band(mm("-0.0351"), mm("0.0007"))):
        assert turned(band.format(), "in") == band.format("in")


@pytest.mark.parametrize(
    ("units", "said"), [(2100, "+21"), (-700, "-7"), (0, "0"), (1050, "+10.5"), (100_000, "+1000")]
)
def test_a_deviation_has_its_sign_and_is_exact(units: int, said: str) -> None:
    assert say_um(Length(units)).text == said
    assert say_um(Length(units)).plain["units"] == units


def test_what_a_part_bears_is_rounded_down_and_what_it_suffers_up() -> None:
    assert say_quantity(27.876, "MPa", "down").text.startswith("27.87 MPa")
    assert say_quantity(27.871, "MPa", "up").text.startswith("27.88 MPa")
    assert say_quantity(-27.871, "MPa", "down").text.startswith("-27.88 MPa")
    assert say_quantity(12345.6, "N", "down").text == "12,345 N (2,775 lbf)"
    assert say_quantity(0.0, "Nm").text == "0 Nm (0 lbf ft)"


def test_temperatures_and_shares_round_away_from_what_flatters() -> None:
    assert say_celsius(208.03, "up").text == "209 C (407 F)"
    assert say_celsius(-20.5, "down").text == "-21 C (-5 F)"
    assert say_percent(Fraction(99_999, 100_000), "down").text == "99.9 %"
    assert say_percent(0.07, "up", 0).text == "7 %"


def test_lengths_in_json_are_text_in_mm_and_whole_units() -> None:
    assert say_length(mm("25.021")).plain == {"length": "25.021 mm", "units": 2_502_100}
    plain = say_band(Band(mm("24.98"), mm("24.993"))).plain
    assert plain == {"lo": "24.98 mm", "hi": "24.993 mm", "lo_units": 2_498_000, "hi_units": 2_499_300}


def test_sizes_without_a_limit_on_one_side_say_so() -> None:
    assert say_sizes(Band(mm("2.54"), Length(10**12))).text == "at least 2.54 mm (0.1000 in)"
    assert say_sizes(Band(Length(0), mm("2.54"))).text == "at most 2.54 mm (0.1000 in)"


@pytest.mark.parametrize(
    ("words", "nominal", "classes"),
    [
        (["25", "H7"], "25.00 mm", ["H7"]),
        (["25 mm", "H7", "g6"], "25.00 mm", ["H7", "g6"]),
        (["3/4 in H8"], "19.05 mm", ["H8"]),
        (["1", "in", "H7/g6"], "25.40 mm", ["H7", "g6"]),
        (["1 1/2 in", "JS9,h6"], "38.10 mm", ["JS9", "h6"]),
        (["25m6"], "25.00 mm", ["m6"]),
        (["25mmH7"], "25.00 mm", ["H7"]),
    ],
)
def test_a_size_and_its_classes_are_told_apart(words: list[str], nominal: str, classes: list[str]) -> None:
    plain = limits_sheet(words).as_dict()
    assert plain["size"]["nominal"]["length"] == nominal
    assert [row["class"] for row in plain["classes"]] == classes


def test_a_bare_number_is_in_millimetres() -> None:
    assert size("110") == Band.exactly(mm("110"))
    assert size("4 in") == Band.exactly(mm("101.6"))


@pytest.mark.parametrize("text", ["4,5", "1e9", "nan", "", "400 Nm", "0x10", "9" * 40])
def test_a_number_that_is_none_is_refused_by_the_name_of_its_option(text: str) -> None:
    with pytest.raises(FitError, match="--torque"):
        number(text, "--torque")


def test_a_count_is_whole() -> None:
    assert whole_number("1000.0", "--draws") == 1000
    with pytest.raises(FitError, match=r"--draws is a whole number, not 1000\.5"):
        whole_number("1000.5", "--draws")


def test_what_is_wanted_comes_from_limits_or_from_another_fit_never_both() -> None:
    like = wanted_of(None, None, "25 H7/g6")
    assert like == wanted_of("0.007", "0.041 mm", None)
    assert wanted_of(None, None, None) is None
    with pytest.raises(FitError, match="not both"):
        wanted_of("0.007", None, "25 H7/g6")
    with pytest.raises(FitError, match="as in 25 H7/p6"):
        wanted_of(None, None, "25 H7 g6")
