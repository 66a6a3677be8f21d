from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from kits.fit.errors import FitError
from kits.fit.materials import Material, figure, material

NAMES = ["steel", "stainless steel", "cast iron", "ductile iron", "aluminium", "brass", "bronze"]


@pytest.mark.parametrize("name", NAMES)
def test_a_known_material_says_that_its_figures_are_typical_and_recalled(name: str) -> None:
    found = material(name)
    assert found.name == name
    assert "from memory" in found.source


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("aluminum", "aluminium"),
        ("Iron", "cast iron"),
        ("grey iron", "cast iron"),
        ("gray iron", "cast iron"),
        ("nodular iron", "ductile iron"),
        ("stainless", "stainless steel"),
        ("  Stainless   STEEL ", "stainless steel"),
    ],
)
def test_other_spellings_are_understood(text: str, name: str) -> None:
    assert material(text).name == name


@pytest.mark.parametrize("text", ["", "unobtainium", "steel2"])
def test_an_unknown_material_is_refused_with_the_known_names(text: str) -> None:
    with pytest.raises(FitError, match="use one of " + ", ".join(NAMES)):
        material(text)


def test_a_known_grade_overrides_the_typical_yield() -> None:
    better = replace(material("steel"), yield_mpa=355, source="mill certificate")
    assert (better.yield_mpa, better.young_mpa) == (355.0, 207_000.0)


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("young_gpa", 0),
        ("young_gpa", 207_000),
        ("poisson", -0.1),
        ("poisson", 0.51),
        ("expansion_per_k", 11.7),
        ("yield_mpa", 0),
        ("yield_mpa", float("inf")),
        ("yield_mpa", float("nan")),
    ],
)
def test_figures_out_of_this_world_are_refused(field: str, value: float) -> None:
    with pytest.raises(FitError, match=f"{field} must lie between .* check it and its unit"):
        replace(material("steel"), **{field: value})  # type: ignore[arg-type]  # any field by its name


@pytest.mark.parametrize("place", range(6))
@pytest.mark.parametrize("nonsense", [None, True, b"steel", [1], 1j])
def test_nonsense_is_refused(place: int, nonsense: Any) -> None:
    good: list[Any] = ["steel", 207, 0.292, 11.7e-6, 210, "drawing"]
    good[place] = nonsense
    with pytest.raises(TypeError):
        Material(*good)


@pytest.mark.parametrize("value", [Decimal("nan"), Decimal("sNaN"), 10**400, float("-inf")])
def test_a_number_that_is_not_finite_is_refused(value: Any) -> None:
    with pytest.raises(FitError, match="must lie between"):
        figure(value, "a pressure")


def test_a_name_that_is_no_text_is_refused() -> None:
    with pytest.raises(TypeError, match="a material's name must be str"):
        material(1)  # type: ignore[arg-type]  # on purpose
