import pytest
from hypothesis import given
from hypothesis import strategies as st

from kits.fit import Band, FitError, Length, limits, pair
from kits.fit.iso286 import LETTERS

MM = 100_000
sizes = st.integers(MM + 1, 500 * MM).map(Length)
large_sizes = st.integers(500 * MM + 1, 3150 * MM).map(Length)
grades = st.sampled_from(["01", *map(str, range(19))])


@given(sizes, st.sampled_from(["a", "b", "c", "d", "e", "f", "g", "h", "js"]), grades)
def test_a_hole_mirrors_the_shaft_of_its_letter(size: Length, letter: str, grade: str) -> None:
    assert limits(size, (letter + grade).replace(letter, letter.upper())) == -limits(size, letter + grade)


@given(sizes, st.sampled_from(["c", "f", "h", "js", "k", "p", "s", "zc"]), grades)
def test_a_band_is_as_wide_as_its_grade_for_every_letter(size: Length, letter: str, grade: str) -> None:
    assert limits(size, letter + grade).width == limits(size, f"h{grade}").width


@given(large_sizes, st.sampled_from([*"defghkmnprstu", "js"]), st.integers(1, 8))
def test_above_500_mm_every_hole_mirrors_its_shaft(size: Length, letter: str, grade: int) -> None:
    shaft = limits(size, f"{letter}{grade}")
    assert limits(size, f"{letter.upper()}{grade}") == -shaft
    assert shaft.width == limits(size, f"h{grade}").width


@given(sizes, st.sampled_from(["m", "n", "p", "r", "s", "u", "x", "z", "za", "zb", "zc"]), st.integers(3, 7))
def test_a_tight_hole_with_a_finer_shaft_fits_as_the_shaft_does_in_h(
    size: Length, letter: str, grade: int
) -> None:
    """The rule that Delta is for: 25 P7/h6 has the fit of 25 H7/p6 (above 3 mm)."""
    if size <= Length(3 * MM) or (
        letter == "m" and grade == 6 and Length(250 * MM) < size <= Length(315 * MM)
    ):
        return
    finer = grade - 1
    shaft_basis = limits(size, f"{letter.upper()}{grade}") - limits(size, f"h{finer}")
    hole_basis = limits(size, f"H{grade}") - limits(size, f"{letter}{finer}")
    assert shaft_basis == hole_basis


@given(sizes, st.sampled_from(["k", "m", "n", "p", "r", "s", "u", "x"]))
def test_letters_grow_in_order_and_grades_widen(size: Length, letter: str) -> None:
    following = LETTERS[LETTERS.index(letter) + 1]
    if following not in ("t", "v", "y"):
        assert limits(size, f"{letter}6").lo <= limits(size, f"{following}6").lo
    assert limits(size, f"{letter}5").width < limits(size, f"{letter}6").width


@pytest.mark.parametrize(
    ("size", "cls", "um"),
    [
        ("2 mm", "K7", (-10, 0)),
        ("2 mm", "K9", (-25, 0)),
        ("25 mm", "K8", (-23, 10)),
        ("25 mm", "M8", (-29, 4)),
        ("25 mm", "N8", (-36, -3)),
        ("25 mm", "P7", (-35, -14)),
        ("25 mm", "k3", (0, 4)),
        ("25 mm", "k4", (2, 8)),
        ("2 mm", "N9", (-29, -4)),
        ("25 mm", "N9", (-52, 0)),
        ("25 mm", "k8", (0, 33)),
        ("25 mm", "P8", (-55, -22)),
        ("280 mm", "M6", (-41, -9)),
        ("280 mm", "M7", (-52, 0)),
        ("2 mm", "j8", (-6, 8)),
        ("25 mm", "J7", (-9, 12)),
        ("60 mm", "js7", (-15, 15)),
        ("8 mm", "js7", (-7.5, 7.5)),
        ("25 mm", "h01", (-0.6, 0)),
        ("500 mm", "zc18", (2600, 12300)),
        ("8 mm", "CD9", (56, 92)),
        ("600 mm", "H7", (0, 70)),
        ("600 mm", "k9", (0, 175)),
        ("600 mm", "K7", (-70, 0)),
        ("600 mm", "M7", (-96, -26)),
        ("600 mm", "N9", (-219, -44)),
        ("600 mm", "P7", (-148, -78)),
        ("600 mm", "js5", (-16, 16)),
        ("3150 mm", "u18", (3200, 36200)),
    ],
)
def test_special_rules_of_the_standard(size: str, cls: str, um: tuple[float, float]) -> None:
    """From memory of the ISO 286-1 tables and their footnotes; widths follow from the IT grade."""
    assert limits(Length.parse(size), cls) == Band(*(Length(round(100 * value)) for value in um))


def test_a_size_on_the_edge_belongs_to_the_range_below() -> None:
    edge = Length.parse("50 mm")
    assert limits(edge, "H7").width == Length.parse("25 um")
    assert limits(edge + Length(1), "H7").width == Length.parse("30 um")


def test_the_tables_up_to_500_mm_and_above_join_without_a_hole() -> None:
    edge = Length.parse("500 mm")
    assert limits(edge, "H7").width == Length.parse("63 um")
    assert limits(edge + Length(1), "H7").width == Length.parse("70 um")
    assert limits(edge, "P7").hi == Length.parse("-45 um")  # raised by Delta
    assert limits(edge + Length(1), "P7").hi == Length.parse("-78 um")  # plain


@pytest.mark.parametrize(
    ("size", "cls", "advice"),
    [
        ("0 mm", "H7", "above 0 up to 3150 mm"),
        ("-1 mm", "H7", "above 0 up to 3150 mm"),
        ("3150.00001 mm", "H7", "above 0 up to 3150 mm"),
        ("25 mm", "H", "not a tolerance class"),
        ("25 mm", "7H", "not a tolerance class"),
        ("25 mm", "Js7", "not a tolerance class"),
        ("25 mm", "I7", "not a tolerance class"),
        ("25 mm", "H007", "not a tolerance class"),
        ("25 mm", "j9", "there are j5 to j8"),
        ("25 mm", "j8", "gives no j8"),
        ("25 mm", "J5", "there are J6 to J8"),
        ("20 mm", "t6", "choose a neighbouring letter"),
        ("60 mm", "cd8", "choose a neighbouring letter"),
        ("25 mm", "K9", "only up to 3 mm"),
        ("25 mm", "P2", "finer than IT3"),
        ("25 mm", "P01", "finer than IT3"),
        ("600 mm", "h01", "no IT01 .* choose a coarser grade"),
        ("600 mm", "H0", "no IT0 .* choose a coarser grade"),
        ("600 mm", "c11", "no c for .* choose a neighbouring letter"),
        ("600 mm", "j6", "no j6 for .* choose a neighbouring letter"),
        ("600 mm", "x8", "no x for .* choose a neighbouring letter"),
        ("600 mm", "K9", "only up to 3 mm"),
        ("1 mm", "a11", "up to 1 mm"),
        ("1 mm", "h14", "up to 1 mm"),
        ("1 mm", "N9", "up to 1 mm"),
    ],
)
def test_what_the_standard_does_not_give_is_refused_with_what_to_do(size: str, cls: str, advice: str) -> None:
    with pytest.raises(FitError, match=advice):
        limits(Length.parse(size), cls)


@pytest.mark.parametrize(
    ("shaft", "kind", "clearance"),
    [
        ("19.00..19.04 mm", "clearance", "0.01..0.07 mm"),
        ("19.00..19.05 mm", "clearance", "0..0.07 mm"),
        ("19.04..19.06 mm", "transition", "-0.01..0.03 mm"),
        ("19.07..19.09 mm", "interference", "-0.04..0 mm"),
        ("19.08..19.09 mm", "interference", "-0.04..-0.01 mm"),
    ],
)
def test_a_pair_has_a_clearance_and_a_kind(shaft: str, kind: str, clearance: str) -> None:
    fit = pair(Band.parse("19.05..19.07 mm"), Band.parse(shaft))
    assert (fit.kind, fit.clearance) == (kind, Band.parse(clearance))


def test_a_negative_diameter_is_refused() -> None:
    with pytest.raises(FitError, match="a diameter is zero or more"):
        pair(Band.parse("-1..1 mm"), Band.parse("1 mm"))
