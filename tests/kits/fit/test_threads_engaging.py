from decimal import Decimal
from fractions import Fraction
from itertools import product
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kits.fit.band import Band
from kits.fit.bolt_strength import BoltClass, Strength, bolt_class, proof_load, strength, tensile_load
from kits.fit.engaging import (
    Engagement,
    HoleMaterial,
    Needed,
    engagement,
    engagement_needed,
    hole_material,
    shear_areas,
    stripping_length,
)
from kits.fit.errors import FitError
from kits.fit.length import Length
from kits.fit.threads import every_thread, thread

from .strategies import small_bands

MM = Length.parse("1 mm")
BAND = Band(MM, 2 * MM)
ISO_NAMES = ("4.6", "4.8", "5.6", "5.8", "6.8", "8.8", "9.8", "10.9", "12.9")
SAE_NAMES = ("1", "2", "5", "5.2", "8", "8.2")
HOLES = ("steel", "stainless steel", "cast iron", "ductile iron", "aluminium", "brass", "bronze")
M10, BOLT, HOLE = thread("M10"), bolt_class("8.8"), hole_material("aluminium")
NONSENSE: tuple[Any, ...] = (object(), "wrong", float("nan"), True, b"8.8", [object()], {"d": 1}, 1j)


@pytest.mark.parametrize(
    ("text", "name", "standard"),
    [
        ("8.8", "8.8", "ISO 898-1"),
        (" class  10.9", "10.9", "ISO 898-1"),
        ("ISO 898-1 12.9", "12.9", "ISO 898-1"),
        ("property class 5.8", "5.8", "ISO 898-1"),
        ("grade 5", "5", "SAE J429"),
        ("SAE Grade 8", "8", "SAE J429"),
        ("SAE J429 grade 2", "2", "SAE J429"),
        ("gr.8", "8", "SAE J429"),
        ("5.2", "5.2", "SAE J429"),
        ("A4-70", "A4-70", "ISO 3506-1"),
        ("class a2-80", "A2-80", "ISO 3506-1"),
        ("ISO 3506-1 A2-50", "A2-50", "ISO 3506-1"),
    ],
)
def test_a_class_is_read_as_people_write_it(text: str, name: str, standard: str) -> None:
    assert bolt_class(text) == BoltClass(name, standard)


@pytest.mark.parametrize(
    "text",
    [
        "8",
        "A9-70",
        "A2-60",
        "grade A4-70",
        "SAE A2-70",
        "class 5.2",
        "SAE 8.8",
        "grade 10.9",
        "",
        "8.8.8",
        "ISO SAE 5",
    ],
)
def test_a_class_that_is_not_held_is_refused_with_those_that_are(text: str) -> None:
    with pytest.raises(FitError, match=r"4\.6, 4\.8.*grade 1, 2, 5, 5\.2, 8, 8\.2"):
        bolt_class(text)


@pytest.mark.parametrize("text", [*ISO_NAMES, "A1-50", "A4-80", *(f"grade {name}" for name in SAE_NAMES)])
def test_a_class_prints_and_reads_back_the_same(text: str) -> None:
    assert bolt_class(str(bolt_class(text))) == bolt_class(text)


@pytest.mark.parametrize(
    ("text", "bolt", "advice"),
    [
        ("M20", "9.8", r"no 9\.8 for M20x2\.5; it gives 4\.6, .*12\.9 there"),
        ("M42", "8.8", "no class of that size"),
        ("M30", "A4-70", r"no A4-70 for M30x3\.5; it gives A1-50, A2-50"),
        ("1/2-13 UNC", "A4-70", "give a grade such as grade 5"),
        ("M6x0.75", "8.8", "no fine threads below M8"),
        ("1/2-13 UNC", "8.8", "give a grade such as grade 5"),
        ("M12", "grade 8", r"give a class such as 8\.8"),
        ("#10-32 UNF", "grade 5", "no class of that size"),
        ("1 1/8-12 UNF", "grade 8.2", "it gives 1, 2, 5, 8 there"),
        ("1 1/8-12 UNF", "grade 5.2", "it gives 1, 2, 5, 8 there"),
    ],
)
def test_a_class_that_the_standard_does_not_give_for_a_size_is_refused(
    text: str, bolt: str, advice: str
) -> None:
    with pytest.raises(FitError, match=advice):
        proof_load(thread(text), bolt_class(bolt))


def test_strength_changes_where_the_standard_changes_it() -> None:
    def tensile(text: str, bolt: str) -> int:
        return round(strength(thread(text), bolt_class(bolt)).tensile_mpa)

    assert (tensile("M16", "8.8"), tensile("M18", "8.8")) == (800, 830)
    assert (tensile("3/4-10 UNC", "grade 2"), tensile("7/8-9 UNC", "grade 2")) == (510, 414)
    assert (tensile("1-8 UNC", "grade 5"), tensile("1 1/8-7 UNC", "grade 5")) == (827, 724)


@pytest.mark.parametrize("name", [*ISO_NAMES, "A1-50", "A4-80", *(f"grade {name}" for name in SAE_NAMES)])
def test_proof_is_below_yield_and_yield_below_tensile(name: str) -> None:
    bolt = bolt_class(name)
    rows = 0
    for known in every_thread():
        try:
            found = strength(known, bolt)
        except FitError:
            continue
        rows += 1
        assert found.proof_mpa < found.yield_mpa < found.tensile_mpa
        assert 0 < proof_load(known, bolt) < tensile_load(known, bolt)
    assert rows > 10


@given(small_bands, small_bands, st.none() | small_bands)
def test_engagement_is_the_extreme_over_the_corners(
    bolt_length: Band, clamped: Band, depth: Band | None
) -> None:
    found = engagement(bolt_length, clamped, depth)
    ends = [(band.lo.units, band.hi.units) for band in (bolt_length, clamped)]
    engaged = [bolt - stack for bolt, stack in product(*ends)]
    assert (found.engaged.lo.units, found.engaged.hi.units) == (min(engaged), max(engaged))
    if depth is None:
        assert found.room is None
        return
    room = [
        hole - bolt + stack for hole in (depth.lo.units, depth.hi.units) for bolt, stack in product(*ends)
    ]
    assert found.room is not None
    assert (found.room.lo.units, found.room.hi.units) == (min(room), max(room))


def test_the_larger_of_strength_and_multiple_is_needed_and_both_are_told() -> None:
    strong = engagement_needed(M10, bolt_class("8.8"), HOLE)
    assert strong.length == stripping_length(M10, bolt_class("8.8"), HOLE) > 20 * MM
    assert "FED-STD-H28" in strong.basis and "20.00 mm" in strong.basis and "2 times" in strong.basis
    weak = engagement_needed(M10, bolt_class("4.6"), HOLE)
    assert weak.length == 20 * MM > stripping_length(M10, bolt_class("4.6"), HOLE)
    assert weak.basis.startswith("20.00 mm (0.7875 in) by 2 times the diameter in aluminium")


def test_a_stated_multiple_takes_the_place_of_the_trades_own() -> None:
    needed = engagement_needed(M10, None, HOLE, Decimal("2.5"))
    assert needed == Needed(
        25 * MM,
        "25.00 mm (0.9843 in) by 2.5 times the diameter as stated; strength is not judged, since the "
        "bolt's class is not known",
    )
    assert engagement_needed(M10, BOLT, None, 3).length == 30 * MM
    assert "the hole's material is not known" in engagement_needed(M10, BOLT, None, 3).basis


def test_the_needed_length_never_falls_short_of_the_diameter_s_multiple() -> None:
    third = thread("#6-32 UNC")
    needed = engagement_needed(third, None, None, Fraction(1, 3)).length
    assert 3 * needed.units >= third.major.units > 3 * (needed.units - 1)


def test_without_material_and_multiple_it_cannot_be_told() -> None:
    with pytest.raises(FitError, match="give the hole's material or a multiple"):
        engagement_needed(M10, BOLT, None)


@pytest.mark.parametrize("name", HOLES)
def test_a_weaker_hole_or_a_stronger_bolt_never_needs_less(name: str) -> None:
    hole = hole_material(name)
    lengths = [
        stripping_length(M10, bolt_class(bolt), hole) for bolt in ("4.6", "5.8", "8.8", "10.9", "12.9")
    ]
    assert lengths == sorted(lengths)
    weaker = HoleMaterial("weaker", hole.tensile_mpa / 2, hole.multiple)
    assert stripping_length(M10, BOLT, weaker) > stripping_length(M10, BOLT, hole) >= stripping_length(M10)


def test_a_hole_as_strong_as_its_bolt_needs_no_more_than_formula_1() -> None:
    assert stripping_length(M10, BOLT, HoleMaterial("same", 800, Fraction(1))) == stripping_length(M10)


def test_a_hole_material_has_the_names_of_the_trade() -> None:
    assert hole_material(" Aluminum ") == HOLE
    assert hole_material("grey iron").name == "cast iron"
    with pytest.raises(FitError, match="cast iron"):
        hole_material("cheese")


def test_every_held_material_of_shafts_and_hubs_has_a_thread_strength() -> None:
    assert [hole_material(name).name for name in HOLES] == list(HOLES)


GOOD_CALLS: tuple[tuple[Any, tuple[Any, ...]], ...] = (
    (bolt_class, ("8.8",)),
    (BoltClass, ("8.8", "ISO 898-1")),
    (Strength, (1.0, 1.0, 1.0)),
    (strength, (M10, BOLT)),
    (proof_load, (M10, BOLT)),
    (tensile_load, (M10, BOLT)),
    (hole_material, ("steel",)),
    (HoleMaterial, ("steel", 360, Fraction(1))),
    (shear_areas, (M10, MM)),
    (stripping_length, (M10, BOLT, HOLE)),
    (engagement_needed, (M10, BOLT, HOLE, 2)),
    (engagement, (BAND, BAND, BAND)),
    (Engagement, (BAND, BAND)),
    (Needed, (MM, "because")),
)


@pytest.mark.parametrize(("call", "arguments"), GOOD_CALLS)
def test_nonsense_is_refused(call: Any, arguments: tuple[Any, ...]) -> None:
    call(*arguments)
    for place, nonsense in product(range(len(arguments)), NONSENSE):
        if isinstance(arguments[place], str) and nonsense == "wrong" and call in (HoleMaterial, Needed):
            continue  # Any text is a name or a reason.
        if call is Strength and isinstance(nonsense, float):
            continue
        with pytest.raises((TypeError, FitError)):
            call(*arguments[:place], nonsense, *arguments[place + 1 :])


@pytest.mark.parametrize("multiple", [0, -1, 11, Decimal("NaN"), Decimal("Infinity"), Fraction(-1, 2)])
def test_a_multiple_of_the_diameter_is_a_sensible_one(multiple: Any) -> None:
    with pytest.raises(FitError, match="multiple of the diameter"):
        engagement_needed(M10, BOLT, HOLE, multiple)
