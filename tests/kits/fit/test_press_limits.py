from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kits.fit.band import Band
from kits.fit.errors import FitError
from kits.fit.length import ZERO, Length
from kits.fit.materials import material
from kits.fit.press import press
from kits.fit.press_limits import InterferenceLimits, interference_limits
from tests.kits.fit.press_cases import UM, Joint, corners, inside, joints

STEP = Length(1)
STEEL = material("steel")
PULLEY = Joint(
    Band.parse("50.00..50.02 mm"),
    Band.parse("99.9..100.1 mm"),
    Band.exactly(ZERO),
    Band.parse("59..61 mm"),
    STEEL,
    STEEL,
)
WORK: dict[str, Any] = {"torque_nm": 800, "axial_n": 2000, "of_yield": 0.8}
loads = st.fixed_dictionaries(
    {
        "torque_nm": st.just(0.0) | st.floats(0, 5000),
        "axial_n": st.just(0.0) | st.floats(0, 50_000),
        "of_yield": st.floats(0.05, 1),
    }
)
rough = st.fixed_dictionaries(
    {"friction": st.floats(0.02, 0.5), "roughness_loss": st.builds(Length, st.integers(0, 1000))}
)


def limits_of(joint: Joint, **settings: Any) -> InterferenceLimits:
    return interference_limits(
        joint.diameter,
        joint.hub_outside,
        joint.shaft_bore,
        joint.length,
        joint.hub,
        joint.shaft,
        **settings,
    )


def goes(joint: Joint, interference: Length, load: dict[str, Any], more: dict[str, Any]) -> bool:
    """Whether the exact joint carries the load without overstress, by `press` alone."""
    held = press(Band.exactly(interference), *joint.exact(), **more).most
    return (
        held is not None
        and interference >= more.get("roughness_loss", ZERO)
        and held.share <= load["of_yield"]
        and held.load_share(load["torque_nm"], load["axial_n"]) <= 1
    )


@given(st.data(), st.sampled_from([0, 10, 2_000, 1_000_000]), loads, rough)
@settings(max_examples=400)
def test_strict_surely_goes_and_outside_lenient_surely_fails(
    data: st.DataObject, widest: int, load: dict[str, Any], more: dict[str, Any]
) -> None:
    joint = data.draw(joints(widest))
    found = limits_of(joint, **load, **more)
    exact = data.draw(inside(joint))
    if found.strict:
        middle = Length(data.draw(st.integers(found.strict.lo.units, found.strict.hi.units)))
        for interference in (found.strict.lo, middle, found.strict.hi):
            assert goes(exact, interference, load, more)
    if found.lenient:
        for interference in (found.lenient.lo - STEP, found.lenient.hi + STEP):
            assert not goes(exact, interference, load, more)
    else:
        assert not goes(exact, Length(data.draw(st.integers(0, 100_000))), load, more)


@given(joints(), loads, rough)
@settings(max_examples=200)
def test_for_exact_sizes_both_bands_agree_to_the_last_step(
    joint: Joint, load: dict[str, Any], more: dict[str, Any]
) -> None:
    found = limits_of(joint, **load, **more)
    if found.strict is None:
        assert found.lenient is None or found.lenient.width <= 2 * STEP
        return
    assert found.lenient is not None
    assert found.strict in found.lenient
    assert found.lenient.width - found.strict.width <= 4 * STEP


@given(st.data(), loads, st.sampled_from(["hub", "shaft"]))
@settings(max_examples=200)
def test_with_an_exact_diameter_the_corners_are_the_limits(
    data: st.DataObject, load: dict[str, Any], weak: str
) -> None:
    wide = data.draw(joints(1_000_000))
    hub, shaft = (
        replace(STEEL, young_gpa=data.draw(st.floats(20, 400)), yield_mpa=60 if part == weak else 300)
        for part in ("hub", "shaft")
    )
    wide = replace(wide, diameter=Band.exactly(wide.diameter.lo), hub=hub, shaft=shaft)
    found, exact = limits_of(wide, **load), [limits_of(corner, **load) for corner in corners(wide)]
    if found.strict:
        each = [one.strict for one in exact if one.strict]
        assert len(each) == len(exact)
        assert abs(found.strict.lo - max(one.lo for one in each)) <= STEP
        assert abs(found.strict.hi - min(one.hi for one in each)) <= STEP
    possible = [one.lenient for one in exact if one.lenient]
    if found.lenient and len(possible) == len(exact):
        assert abs(found.lenient.lo - min(one.lo for one in possible)) <= STEP


@given(st.data(), st.floats(20, 400), st.floats(20, 400))
@settings(max_examples=200)
def test_where_only_the_shaft_can_yield_a_corner_yields_last(
    data: st.DataObject, young_of_hub: float, young_of_shaft: float
) -> None:
    wide = data.draw(joints(1_000_000))
    hub = replace(STEEL, young_gpa=young_of_hub, yield_mpa=100_000)
    shaft = replace(STEEL, young_gpa=young_of_shaft, yield_mpa=60)
    wide = replace(wide, diameter=Band.exactly(wide.diameter.lo), hub=hub, shaft=shaft)
    found = limits_of(wide).lenient
    exact = [limits_of(corner).lenient for corner in corners(wide)]
    assert found is not None
    assert abs(found.hi - max(one.hi for one in exact if one)) <= STEP


@pytest.mark.parametrize("hub_outside", ["53 mm", "60 mm", "100 mm", "500 mm"])
@pytest.mark.parametrize("shaft_bore", ["0 mm", "10 mm", "30 mm", "48 mm"])
@pytest.mark.parametrize("load", [{"torque_nm": 50}, {"axial_n": 2000}], ids=["torque", "axial"])
@pytest.mark.parametrize("stiff", [20, 200, 2000])
def test_no_diameter_in_its_band_is_missed(
    hub_outside: str, shaft_bore: str, load: dict[str, Any], stiff: int
) -> None:
    wide = replace(
        PULLEY,
        diameter=Band.parse("50..52 mm"),
        hub_outside=Band.parse(hub_outside),
        shaft_bore=Band.parse(shaft_bore),
        hub=replace(STEEL, young_gpa=stiff),
    )
    found = limits_of(wide, **load)
    for corner in corners(wide, steps=20):
        exact = limits_of(corner, **load)
        if found.strict:
            assert exact.strict is not None and found.strict in exact.strict
        if exact.lenient:
            assert found.lenient is not None and exact.lenient in found.lenient


@given(st.data(), loads, rough)
def test_wider_bands_never_promise_more(
    data: st.DataObject, load: dict[str, Any], more: dict[str, Any]
) -> None:
    wide = data.draw(joints(2_000))
    narrow = data.draw(inside(wide))
    promised = limits_of(wide, **load, **more)
    known = limits_of(narrow, **load, **more)
    if promised.strict:
        assert known.strict is not None and promised.strict in known.strict
    if known.lenient:
        assert promised.lenient is not None and known.lenient in promised.lenient


def test_a_pulley_has_its_limits_and_little_is_lost_to_caution() -> None:
    found = limits_of(PULLEY, **WORK)
    assert found.strict is not None and found.lenient is not None
    assert found.strict.lo - found.lenient.lo < Length.parse("1.2 um")  # 2 mm of length in 60 mm
    assert found.lenient.hi - found.strict.hi < Length.parse("0.2 um")
    middle = replace(
        PULLEY,
        diameter=Band.parse("50.01 mm"),
        hub_outside=Band.parse("100 mm"),
        length=Band.parse("60 mm"),
    )
    exact = limits_of(middle, **WORK).strict
    assert exact is not None
    assert found.strict.lo > exact.lo > found.lenient.lo
    assert found.strict.hi < exact.hi < found.lenient.hi


def test_ten_nanometres_across_a_limit_decide() -> None:
    exact = replace(
        PULLEY, diameter=Band.parse("50 mm"), hub_outside=Band.parse("100 mm"), length=Band.parse("60 mm")
    )
    strict = limits_of(exact, **WORK).strict
    assert strict is not None
    assert goes(exact, strict.lo, WORK, {}) and not goes(exact, strict.lo - STEP, WORK, {})
    assert goes(exact, strict.hi, WORK, {}) and not goes(exact, strict.hi + STEP, WORK, {})


def test_without_a_load_only_the_roughness_must_be_outlasted() -> None:
    found = limits_of(PULLEY, roughness_loss=8 * UM)
    assert found.strict is not None and found.lenient is not None
    assert found.strict.lo == found.lenient.lo == 8 * UM


@pytest.mark.parametrize("load", ["torque_nm", "axial_n"])
def test_even_the_least_load_needs_some_interference(load: str) -> None:
    strict = limits_of(PULLEY, **{load: 5e-324}).strict
    assert strict is not None and strict.lo == STEP


def test_a_load_that_no_interference_carries_leaves_no_band() -> None:
    assert limits_of(PULLEY, torque_nm=Decimal(5000)) == InterferenceLimits(None, None)


def test_a_load_that_only_some_sizes_carry_leaves_no_strict_band() -> None:
    loose = replace(PULLEY, length=Band.parse("10..60 mm"))
    found = limits_of(loose, **WORK)
    assert found.strict is None
    assert found.lenient is not None


@pytest.mark.parametrize(
    ("settings", "advice"),
    [
        ({"of_yield": 0}, "share of yield must lie between"),
        ({"of_yield": 1.1}, "share of yield must lie between"),
        ({"torque_nm": -1}, "a wanted torque in Nm must lie between"),
        ({"axial_n": float("nan")}, "a wanted axial force in N must lie between"),
        ({"friction": 0}, "friction of a press fit must lie between"),
        ({"roughness_loss": -UM}, "a loss by roughness is zero or more"),
        ({"shaft_bore": Band.parse("0..1 mm")}, "above zero, or zero for a solid shaft"),
        ({"shaft_bore": Band.parse("1..50 mm")}, "must be below the joint's diameter"),
        ({"hub_outside": Band.parse("50.02..60 mm")}, "must be above the joint's diameter"),
        ({"length": Band.parse("0..1 mm")}, "engaged length is above zero"),
    ],
)
def test_what_is_no_press_fit_is_refused(settings: dict[str, Any], advice: str) -> None:
    sizes = ("diameter", "hub_outside", "shaft_bore", "length", "hub", "shaft")
    arguments = dict(zip(sizes, PULLEY.bands(), strict=True)) | settings
    with pytest.raises(FitError, match=advice):
        interference_limits(**arguments)


@pytest.mark.parametrize("nonsense", [None, True, "1 mm", [1], object()])
def test_nonsense_is_refused(nonsense: Any) -> None:
    good = PULLEY.bands()
    for place in range(len(good)):
        with pytest.raises(TypeError):
            interference_limits(*[nonsense if i == place else value for i, value in enumerate(good)])
    for setting in ("torque_nm", "axial_n", "of_yield", "friction", "roughness_loss"):
        with pytest.raises(TypeError):
            interference_limits(*good, **{setting: nonsense})
