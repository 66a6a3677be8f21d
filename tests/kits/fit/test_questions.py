"""What a kind says of a check that is declared wrongly."""

import pytest

from kits.fit import KINDS, Declared, problems

COUNTS = [
    Declared("shaft-keyways", 1, "count", "", "keyways"),
    Declared("hub-keyways", 1, "count", "", "keyways"),
]
WIDTHS = [Declared("shaft-width", 1, "length", "", "width"), Declared("hub-width", 1, "length", "", "width")]


def keyway(*more: Declared) -> list[str]:
    return problems(KINDS["keyway"], "Key", [*COUNTS, *WIDTHS, *more], {}, False)


def test_a_check_that_is_declared_rightly_has_no_problems() -> None:
    assert keyway(Declared("shaft-angle", 1, "rating", "deg", "angle")) == []


@pytest.mark.parametrize(
    ("term", "words"),
    [
        (Declared("shaft-angle", 1, "rating", "rad", "angle"), "in rad, not in deg"),
        (Declared("shaft-angle", 1, "rating", "", "angle"), "without a unit, not in deg"),
        (Declared("shaft-angle", 1, "length", "", "angle"), "which is a length, not a rating"),
        (Declared("key-width", 1, "length", "", "width"), "always takes from the result; turn its sign"),
        (Declared("shaft-width", 1, "length", "", "width"), "has 2 terms that are its width of the shaft"),
        (Declared("teeth", 1, "count", "", "teeth"), "has no role 'teeth'; use shaft-keyways"),
    ],
)
def test_what_is_wrong_is_named(term: Declared, words: str) -> None:
    assert any(words in problem for problem in keyway(term)), keyway(term)


def test_ratings_of_two_units_are_not_compared() -> None:
    terms = [Declared("supply", 1, "rating", "kW", "power"), Declared("demand", -1, "rating", "W", "power")]
    (said,) = problems(KINDS["bound"], "Power", terms, {}, False)
    assert "compares ratings in W and kW; use features in one unit" in said
