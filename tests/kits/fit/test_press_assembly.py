from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kits.fit.errors import FitError
from kits.fit.length import ZERO, Length
from kits.fit.press_assembly import CAUTIONS, Change, chilling_needed, gained_by_chilling, heating_needed

UM = Length.parse("1 um")
D = Length.parse("50 mm")
STEEL = 11.7e-6
sizes = st.builds(Length, st.integers(0, 20_000))


@given(sizes, sizes)
def test_the_heated_hub_has_grown_by_interference_and_clearance(
    interference: Length, clearance: Length
) -> None:
    change = heating_needed(interference, clearance, D, STEEL)
    assert D.units * STEEL * change.kelvin == pytest.approx((interference + clearance).units)
    assert change.celsius == 20 + change.kelvin


@given(sizes)
def test_a_shaft_is_chilled_by_as_much_as_a_hub_of_its_material_is_heated(interference: Length) -> None:
    hot, cold = heating_needed(interference, ZERO, D, STEEL), Change(0, 0)
    if hot.kelvin <= 293.15:
        cold = chilling_needed(interference, ZERO, D, STEEL)
        assert (cold.kelvin, cold.celsius) == (hot.kelvin, 20 - hot.kelvin)
    else:
        with pytest.raises(FitError, match="heat the hub instead, or as well"):
            chilling_needed(interference, ZERO, D, STEEL)


@given(sizes, sizes, st.floats(-196, 20))
def test_a_chilled_shaft_spares_the_hub_its_heat(
    interference: Length, clearance: Length, cold: float
) -> None:
    gained = gained_by_chilling(D, STEEL, cold)
    both = heating_needed(interference, clearance, D, STEEL, gained=gained)
    grown = D.units * STEEL * both.kelvin
    assert grown + gained.units == pytest.approx(max((interference + clearance).units, gained.units))
    assert both.kelvin <= heating_needed(interference, clearance, D, STEEL).kelvin


def test_chilling_gains_are_rounded_down() -> None:
    assert gained_by_chilling(D, STEEL, -78) == Length(5733)  # 50 mm x 11.7e-6 x 98 K = 0.057330 mm
    assert gained_by_chilling(D, STEEL, 19.9) == Length(5)  # 5.85 steps
    assert gained_by_chilling(D, STEEL, 20) == ZERO


def test_what_already_goes_together_needs_no_heat() -> None:
    assert heating_needed(-30 * UM, 20 * UM, D, STEEL, ambient_c=15) == Change(0, 15)
    assert chilling_needed(-30 * UM, 20 * UM, D, STEEL, ambient_c=15) == Change(0, 15)


def test_the_cautions_name_the_dangers_and_defer_to_the_maker() -> None:
    for word in ("gloves", "nitrogen", "ventilated", "harden", "fuel", "maker's manual"):
        assert word in CAUTIONS


def test_a_heat_that_no_metal_stands_is_refused() -> None:
    with pytest.raises(FitError, match="lower the interference or the clearance, or press it on"):
        heating_needed(Length.parse("2 mm"), ZERO, D, STEEL)


@pytest.mark.parametrize(
    ("settings", "advice"),
    [
        ({"clearance": -UM}, "the clearance wanted is zero or more"),
        ({"gained": -UM}, "what chilling gains is zero or more"),
        ({"diameter": ZERO}, "a joint's diameter is above zero"),
        ({"expansion_per_k": 11.7}, "an expansion per kelvin must lie between"),
        ({"ambient_c": 300}, "the ambient temperature in C must lie between"),
    ],
)
def test_bad_input_is_refused(settings: dict[str, Any], advice: str) -> None:
    good: dict[str, Any] = {"interference": UM, "clearance": UM, "diameter": D, "expansion_per_k": STEEL}
    with pytest.raises(FitError, match=advice):
        heating_needed(**(good | settings))


def test_a_chilled_shaft_is_colder_than_its_surroundings_and_above_absolute_zero() -> None:
    with pytest.raises(FitError, match="a chilled shaft is colder than the 20 C"):
        gained_by_chilling(D, STEEL, 21)
    with pytest.raises(FitError, match=r"must lie between -273\.15"):
        gained_by_chilling(D, STEEL, -300)


@pytest.mark.parametrize("nonsense", [None, True, "50 mm", [1], object()])
def test_nonsense_is_refused(nonsense: Any) -> None:
    good: list[Any] = [UM, UM, D, STEEL]
    chilled: list[Any] = [D, STEEL, -78]
    for call in (heating_needed, chilling_needed):
        for place in range(4):
            with pytest.raises(TypeError):
                call(*[nonsense if i == place else value for i, value in enumerate(good)])
        with pytest.raises(TypeError):
            call(UM, UM, D, STEEL, ambient_c=nonsense)
    for place in range(3):
        with pytest.raises(TypeError):
            gained_by_chilling(*[nonsense if i == place else v for i, v in enumerate(chilled)])
    for place in range(2):
        with pytest.raises(TypeError):
            Change(*[nonsense if i == place else value for i, value in enumerate([1, 2])])
