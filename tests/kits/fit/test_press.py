from dataclasses import replace
from math import inf, sqrt
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kits.fit.band import Band
from kits.fit.errors import FitError
from kits.fit.length import ZERO, Length
from kits.fit.materials import material
from kits.fit.press import Held, Press, Stress, loss_by_roughness, press
from tests.kits.fit.press_cases import UM, Joint, by_boundary_values, joints

STEEL = material("steel")
HUB = (Length.parse("50 mm"), Length.parse("100 mm"), ZERO, Length.parse("60 mm"), STEEL, STEEL)
SLIGHT = Band.exactly(Length(10))


def strong(joint: Joint) -> Joint:
    return replace(joint, hub=replace(joint.hub, yield_mpa=1e5), shaft=replace(joint.shaft, yield_mpa=1e5))


def held(joint: Joint, interference: Length, **settings: Any) -> Held:
    """What the joint has at that interference, with materials too strong to yield."""
    found = press(Band.exactly(interference), *strong(joint).exact(), **settings).most
    assert found is not None
    return found


@given(joints(), st.integers(1, 100))
@settings(max_examples=200)
def test_pressure_and_stresses_are_those_of_the_boundary_values(joint: Joint, units: int) -> None:
    ours, rings = held(joint, Length(units)), by_boundary_values(joint, Length(units))
    p = rings.pressure
    assert ours.pressure_mpa == pytest.approx(p, rel=1e-9)
    for stress, (radial, hoop) in [
        (ours.hub_bore, rings.hub_bore),
        (ours.hub_outside, rings.hub_outside),
        (ours.shaft_surface, rings.shaft_surface),
        (ours.shaft_bore, rings.shaft_bore),
    ]:
        assert stress.radial_mpa == pytest.approx(radial, rel=1e-9, abs=1e-9 * p)
        assert stress.hoop_mpa == pytest.approx(hoop, rel=1e-9, abs=1e-9 * p)


@given(joints(), st.integers(0, 100), st.integers(1, 100))
def test_more_interference_means_more_of_everything(joint: Joint, units: int, more: int) -> None:
    less, greater = held(joint, Length(units)), held(joint, Length(units + more))
    for field in ("pressure_mpa", "hub_share", "shaft_share", "axial_n", "torque_nm"):
        assert getattr(less, field) < getattr(greater, field)


@given(joints(), st.integers(1, 10_000_000))
def test_a_thicker_hub_means_more_pressure(joint: Joint, thicker: int) -> None:
    thick = replace(joint, hub_outside=joint.hub_outside + Length(thicker))
    assert held(joint, UM).pressure_mpa < held(thick, UM).pressure_mpa


@given(joints(solid=False))
def test_a_hollow_shaft_never_gives_more_pressure_than_a_solid_one(joint: Joint) -> None:
    solid = replace(joint, shaft_bore=Band.exactly(ZERO))
    assert held(joint, UM).pressure_mpa <= held(solid, UM).pressure_mpa


@given(joints())
def test_no_interference_means_no_pressure(joint: Joint) -> None:
    none = held(joint, ZERO)
    assert (none.pressure_mpa, none.share, none.axial_n, none.torque_nm) == (0, 0, 0, 0)
    assert none.load_share() == 0
    assert none.load_share(axial_n=1) == inf
    assert str(none.shaft_surface) == str(Stress(0.0, 0.0))  # and not -0.0


@given(joints(), st.integers(1, 100), st.integers(0, 100))
def test_roughness_takes_its_loss_off_the_interference(joint: Joint, units: int, loss: int) -> None:
    rough = held(joint, Length(units + loss), roughness_loss=Length(loss))
    assert rough == replace(held(joint, Length(units)), interference=Length(units + loss))


def test_less_interference_than_the_roughness_takes_is_no_pressure() -> None:
    fit = press(Band(-3 * UM, 5 * UM), *HUB, roughness_loss=8 * UM)
    assert fit.effective == Band(-11 * UM, -3 * UM)
    assert fit.least is not None and fit.most is not None
    assert fit.least.pressure_mpa == fit.most.pressure_mpa == 0
    assert fit.margin == 1


@given(joints())
def test_the_most_stressed_places_are_the_bores(joint: Joint) -> None:
    found = held(joint, UM)
    assert found.hub_bore.von_mises_mpa >= found.hub_outside.von_mises_mpa
    assert found.shaft_bore.von_mises_mpa >= found.shaft_surface.von_mises_mpa * (1 - 1e-12)
    assert found.hub_share == pytest.approx(found.hub_bore.von_mises_mpa / 1e5)
    assert found.shaft_share == pytest.approx(found.shaft_bore.von_mises_mpa / 1e5)
    assert found.share == max(found.hub_share, found.shaft_share)


@given(st.floats(-1e6, 1e6), st.floats(-1e6, 1e6))
def test_tresca_is_the_stricter_view_by_sixteen_percent_at_most(radial: float, hoop: float) -> None:
    stress = Stress(radial, hoop)
    assert stress.von_mises_mpa <= stress.tresca_mpa * (1 + 1e-9) + 1e-9
    assert stress.tresca_mpa <= stress.von_mises_mpa * 2 / sqrt(3) * (1 + 1e-9) + 1e-9


@given(joints())
def test_figures_stop_at_the_elastic_limit(joint: Joint) -> None:
    limit = press(SLIGHT, *joint.exact()).elastic_limit
    at, beyond = (press(Band.exactly(limit + Length(step)), *joint.exact()) for step in (0, 1))
    assert at.most is not None
    assert at.most.share <= 1 + 1e-12
    assert at.warning == ""
    assert (beyond.most, beyond.margin) == (None, None)
    over = held(joint, limit + Length(1))
    yields = (
        over.hub_bore.von_mises_mpa / joint.hub.yield_mpa,
        over.shaft_bore.von_mises_mpa / joint.shaft.yield_mpa,
    )
    assert max(yields) > 1 - 1e-12
    assert beyond.weaker == ("hub" if yields[0] >= yields[1] else "shaft")


def test_an_interference_beyond_the_elastic_limit_is_said_and_not_computed() -> None:
    fit = press(Band(20 * UM, 90 * UM), *HUB)
    assert fit.least is not None
    assert fit.most is None
    assert fit.warning == (
        "at 0.09 mm of interference the hub yields: it stays elastic up to 0.05797 mm, and no figures are "
        "given beyond; lower the interference, or take a stronger material or a thicker wall"
    )


def test_the_weaker_part_is_named() -> None:
    soft = replace(STEEL, yield_mpa=20)
    assert press(SLIGHT, *HUB[:5], soft).weaker == "shaft"
    assert press(SLIGHT, *HUB[:4], soft, STEEL).weaker == "hub"


def test_torque_and_axial_force_share_the_grip() -> None:
    found = press(Band.exactly(50 * UM), *HUB).most
    assert found is not None
    assert found.load_share(torque_nm=found.torque_nm) == pytest.approx(1)
    assert found.load_share(axial_n=found.axial_n / 2) == pytest.approx(0.5)
    assert found.load_share(0.6 * found.torque_nm, 0.8 * found.axial_n) == pytest.approx(1)


def test_roughness_loss_is_rounded_up() -> None:
    assert loss_by_roughness(Length(3), Length(4)) == Length(6)
    with pytest.raises(FitError, match="zero or more"):
        loss_by_roughness(UM, -UM)


MM = Length.parse("1 mm")


@pytest.mark.parametrize(
    ("place", "value", "advice"),
    [
        (1, 50 * MM, "outside 50.00 mm must be above the joint's diameter 50.00 mm"),
        (1, 40 * MM, "must be above"),
        (2, 50 * MM, "bore 50.00 mm must be below the joint's diameter"),
        (2, -MM, "above zero, or zero for a solid shaft"),
        (0, ZERO, "must be below"),
        (3, ZERO, "engaged length is above zero"),
    ],
)
def test_a_joint_that_cannot_be_is_refused(place: int, value: Length, advice: str) -> None:
    joint: list[Any] = list(HUB)
    joint[place] = value
    with pytest.raises(FitError, match=advice):
        press(SLIGHT, *joint)


@pytest.mark.parametrize("friction", [0, -0.1, 1.5, float("nan"), float("inf")])
def test_friction_is_above_zero_and_at_most_one(friction: float) -> None:
    with pytest.raises(FitError, match="friction of a press fit must lie between"):
        press(SLIGHT, *HUB, friction=friction)


def test_a_negative_loss_is_refused() -> None:
    with pytest.raises(FitError, match="a loss by roughness is zero or more"):
        press(SLIGHT, *HUB, roughness_loss=-UM)


@pytest.mark.parametrize("nonsense", [None, True, 1.5, "50 mm", [MM], object()])
def test_nonsense_is_refused(nonsense: Any) -> None:
    good: list[Any] = [SLIGHT, *HUB]
    for place in range(len(good)):
        with pytest.raises(TypeError):
            press(*[nonsense if i == place else value for i, value in enumerate(good)])
    with pytest.raises(TypeError):
        press(*good, roughness_loss=nonsense)
    with pytest.raises(TypeError):
        loss_by_roughness(MM, nonsense)


@pytest.mark.parametrize("nonsense", [True, "50 mm", [MM], object(), float("nan")])
def test_nonsense_is_no_result(nonsense: Any) -> None:
    fit = press(SLIGHT, *HUB)
    assert fit.least is not None
    for made, result in ((Stress, fit.least.hub_bore), (Held, fit.least), (Press, fit)):
        for field in result.__dataclass_fields__:
            if not (field == "weaker" and isinstance(nonsense, str)):
                with pytest.raises((TypeError, FitError)):
                    replace(result, **{field: nonsense})
        assert isinstance(result, made)


@given(st.data())
def test_a_band_of_interference_holds_every_figure_inside_it(data: st.DataObject) -> None:
    joint = data.draw(joints())
    band = Band(Length(data.draw(st.integers(-50, 20))), Length(data.draw(st.integers(21, 100))))
    at = Length(data.draw(st.integers(band.lo.units, band.hi.units)))
    fit, found = press(band, *strong(joint).exact()), held(joint, at)
    assert fit.least is not None and fit.most is not None
    assert fit.least.pressure_mpa <= found.pressure_mpa <= fit.most.pressure_mpa
