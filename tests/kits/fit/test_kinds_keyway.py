from dataclasses import replace
from itertools import product
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kits.fit import Amount, Finding, FitError, Length, Verdict, Work

from .asking import amount, found, question
from .checks import TURN

BROACH = replace(TURN, code="broach", name="Broach wider", lowers=False)
ONE: dict[str, Any] = {
    "shaft-keyways": 1,
    "hub-keyways": 1,
    "shaft-width": "6 mm",
    "hub-width": "6.03 mm",
    "key-width": "6 mm",
}
TWO = ONE | {"shaft-keyways": 2, "hub-keyways": 2}
HALF_A_TURN = amount("180", unit="deg")


def keyway(
    given: dict[str, Any], works: dict[str, Work] | None = None, **settings: str
) -> dict[str, Finding]:
    return found(
        question("keyway", given, {code.replace("_", "-"): text for code, text in settings.items()}, works)
    )


counts = st.tuples(st.integers(0, 3), st.integers(0, 2)).map(lambda r: amount(str(r[0]), str(sum(r))))


def numbers(count: Amount) -> range:
    return range(int(count.lo), int(count.hi) + 1)


@given(counts, counts, st.booleans())
def test_the_number_is_judged_as_trying_every_number_does(shaft: Amount, hub: Amount, spare: bool) -> None:
    """A hub with more keyways than the shaft never goes; with fewer, but not none, where that is allowed."""
    goes = [h == s or (spare and 1 <= h < s) for s, h in product(numbers(shaft), numbers(hub))]
    angles = {"shaft-angle": HALF_A_TURN, "hub-angle": HALF_A_TURN}
    given = ONE | {"shaft-keyways": shaft, "hub-keyways": hub} | angles
    answer = keyway(given, spare_keyways="yes" if spare else "no")["number"].verdict
    unsure = Verdict.MEASURE_FIRST if any(goes) else Verdict.DOES_NOT_GO
    assert answer is (Verdict.GOES_TOGETHER if all(goes) else unsure)


def test_spare_keyways_are_allowed_only_where_the_check_says_so() -> None:
    given = ONE | {"shaft-keyways": 2}
    assert keyway(given)["number"].verdict is Verdict.DOES_NOT_GO
    allowed = keyway(given, spare_keyways="yes")["number"]
    assert allowed.verdict is Verdict.GOES_TOGETHER and "stay without a key" in allowed.reason
    more = keyway(ONE | {"hub-keyways": 2}, spare_keyways="yes")["number"]
    assert "Corran shaft-keyways would have to be at least 2" in more.reason


def test_two_keyways_without_an_angle_are_tried_first() -> None:
    finding = keyway(TWO)["number"]
    assert finding.verdict is Verdict.MEASURE_FIRST
    assert [measured.label for measured in finding.measure] == ["Corran angle between keyways"]
    angles = {"shaft-angle": HALF_A_TURN, "hub-angle": HALF_A_TURN}
    assert {finding.verdict for finding in keyway(TWO | angles).values()} == {Verdict.GOES_TOGETHER}


@pytest.mark.parametrize(
    ("hub", "verdict"),
    [
        (amount("180.1", unit="deg"), Verdict.GOES_TOGETHER),
        (amount("179.9", "180.1", "deg"), Verdict.GOES_TOGETHER),
        (amount("179.9", "180.101", "deg"), Verdict.MEASURE_FIRST),
        (amount("180.101", unit="deg"), Verdict.DOES_NOT_GO),
        (amount("120", unit="deg"), Verdict.DOES_NOT_GO),
        (None, Verdict.MEASURE_FIRST),
    ],
)
def test_the_angles_may_differ_by_the_tolerance_and_no_more(hub: Amount | None, verdict: Verdict) -> None:
    assert keyway(TWO | {"shaft-angle": HALF_A_TURN, "hub-angle": hub})["angle"].verdict is verdict


def test_the_angle_matters_only_to_a_hub_that_has_two() -> None:
    angles = {"shaft-angle": HALF_A_TURN, "hub-angle": amount("120", unit="deg")}
    assert keyway(ONE | angles)["angle"].verdict is Verdict.GOES_TOGETHER
    unsure = keyway(TWO | {"hub-keyways": None} | angles)["angle"]
    assert unsure.verdict is Verdict.MEASURE_FIRST
    assert [measured.name for measured in unsure.measure] == ["hub-keyways"]


def test_an_angle_in_another_unit_is_refused() -> None:
    angles = {"shaft-angle": HALF_A_TURN, "hub-angle": amount("3.14", unit="rad")}
    with pytest.raises(FitError, match="record an angle in 'deg'"):
        keyway(TWO | angles)


def test_the_key_has_its_play_in_both() -> None:
    assert list(keyway(ONE)) == ["number", "width-shaft", "width-hub"]
    tight = keyway(ONE | {"shaft-width": "5.949 mm"})
    assert (tight["width-shaft"].verdict, tight["width-hub"].verdict) == (
        Verdict.DOES_NOT_GO,
        Verdict.GOES_TOGETHER,
    )
    assert keyway(ONE | {"hub-width": "6.11 mm"}, most_play="0.12 mm")["width-hub"].verdict is (
        Verdict.GOES_TOGETHER
    )


def test_a_narrow_keyway_is_broached_wider_if_the_shop_can() -> None:
    finding = keyway(ONE | {"hub-width": "5.9 mm"}, {"hub-width": BROACH})["width-hub"]
    assert finding.verdict is Verdict.GOES_WITH_WORK
    assert finding.job is not None and str(finding.job.target) == "5.95 to 5.99 mm"


@given(st.integers(-30, 30), st.integers(0, 10), st.integers(0, 10))
def test_without_a_key_the_widths_are_right_exactly_if_some_key_suits_both(
    more: int, tight: int, loose: int
) -> None:
    key_sizes = range(-100, 100)
    suits = any(-tight <= -k <= loose and -tight <= more - k <= loose for k in key_sizes)
    shaft = Length.parse("6 mm")
    given = {role: value for role, value in ONE.items() if role != "key-width"}
    findings = keyway(
        given | {"shaft-width": str(shaft), "hub-width": str(shaft + Length(more))},
        least_play=str(Length(-tight)),
        most_play=str(Length(loose)),
    )
    assert (findings["width"].verdict is Verdict.GOES_TOGETHER) == suits
    assert "not named by this check" in findings["width"].reason


@pytest.mark.parametrize(
    "settings",
    [
        {"least_play": "0.2 mm"},
        {"most_play": "wide"},
        {"spare_keyways": "perhaps"},
        {"angle": "11"},
        {"angle": "-1"},
    ],
)
def test_a_setting_without_sense_is_refused(settings: dict[str, str]) -> None:
    with pytest.raises(FitError):
        keyway(ONE, None, **settings)
