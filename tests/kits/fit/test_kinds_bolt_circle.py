from dataclasses import replace
from itertools import product
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kits.fit import Band, Length, Verdict, Work, worst

from .asking import found, question
from .checks import TURN

BORE = replace(TURN, code="open", name="Open the holes", lowers=False, most=Length.parse("1 mm"))
FLANGE: dict[str, Any] = {
    "holes": 6,
    "mate-holes": 6,
    "hole": "9 mm",
    "bolt": "8 mm",
    "position": "0.3 mm",
    "mate-position": "0.2 mm",
    "circle": "100 mm",
    "mate-circle": "100 mm",
}


def flange(works: dict[str, Work] | None = None, **other: Any) -> dict[str, Any]:
    given = FLANGE | {role.replace("_", "-"): value for role, value in other.items()}
    return found(question("bolt-circle", given, works=works))


def overall(**other: Any) -> Verdict:
    return worst(finding.verdict for finding in flange(**other).values())


def units(lo: int, width: int) -> Band:
    return Band(Length(lo), Length(lo + width))


def steps(band: Band) -> range:
    return range(band.lo.units, band.hi.units + 1)


holes = st.builds(units, st.integers(6, 14), st.integers(0, 2))
tolerances = st.builds(units, st.integers(0, 3), st.just(0))
circles = st.builds(units, st.integers(100, 103), st.integers(0, 2))


@settings(deadline=None)
@given(
    holes, st.none() | holes, st.builds(units, st.just(8), st.integers(0, 2)), tolerances, circles, circles
)
def test_the_verdict_is_that_of_every_combination_of_sizes(
    hole: Band, mate: Band | None, bolt: Band, tolerance: Band, circle: Band, mate_circle: Band
) -> None:
    """A bolt passes both holes if it passes each, and their axes are not too far apart for it."""
    off = range(tolerance.hi.units + 1)
    goes = []
    for h, m, f, c, d, t in product(
        steps(hole), steps(mate) if mate else (None,), steps(bolt), steps(circle), steps(mate_circle), off
    ):
        room = h - f if m is None else h + m - 2 * f
        goes.append(h >= f and (m is None or m >= f) and room >= t + abs(c - d))
    other = {} if mate is None else {"mate_hole": mate}
    answer = overall(
        hole=hole,
        bolt=bolt,
        position=tolerance,
        mate_position="0 mm",
        circle=circle,
        mate_circle=mate_circle,
        **other,
    )
    unsure = Verdict.MEASURE_FIRST if any(goes) else Verdict.DOES_NOT_GO
    assert answer is (Verdict.GOES_TOGETHER if all(goes) else unsure)


def test_the_mating_hole_says_whether_the_bolt_floats() -> None:
    assert list(flange()) == ["number", "bolt", "room-inwards", "room-outwards"]
    assert list(flange(mate_hole="9 mm")) == ["number", "bolt", "mate-bolt", "room-inwards", "room-outwards"]
    assert overall(hole="8.4 mm") is Verdict.MEASURE_FIRST
    assert overall(hole="8.4 mm", mate_hole="8.4 mm") is Verdict.GOES_TOGETHER


@pytest.mark.parametrize(("circle", "side"), [("100.51 mm", "room-inwards"), ("99.49 mm", "room-outwards")])
def test_a_circle_larger_or_smaller_takes_room_on_one_side(circle: str, side: str) -> None:
    findings = flange(circle=circle)
    assert findings.pop(side).verdict is Verdict.MEASURE_FIRST
    assert {finding.verdict for finding in findings.values()} == {Verdict.GOES_TOGETHER}


def test_a_position_tolerance_is_the_most_that_a_hole_is_off_and_not_what_it_is_off() -> None:
    finding = flange(hole="8.4 mm")["room-inwards"]
    assert str(finding.result) == "-0.10 to 0.40 mm"
    assert [measured.name for measured in finding.measure] == ["position"]
    assert "Without measuring, Corran hole of 8.50 mm (0.3347 in) or more goes together." in finding.reason
    assert overall(hole="8.5 mm") is Verdict.GOES_TOGETHER


def test_holes_too_small_for_sure_are_opened_if_the_shop_can() -> None:
    assert overall(hole="7.9 mm") is Verdict.DOES_NOT_GO
    opened = flange({"hole": BORE}, hole="7.9 mm")
    assert opened["room-inwards"].verdict is Verdict.GOES_WITH_WORK
    assert str(opened["room-inwards"].job.target) == "8.50 to 8.54 mm"


def test_no_shop_work_moves_a_hole() -> None:
    moving = {
        role: replace(BORE, most=Length.parse("5 mm")) for role in ("circle", "mate-circle", "position")
    }
    shrinking = {role: replace(work, lowers=True) for role, work in moving.items()}
    for works in (moving, shrinking):
        assert flange(works, circle="103 mm")["room-inwards"].verdict is Verdict.DOES_NOT_GO


def test_the_reason_says_what_is_taken_for_granted() -> None:
    for side in ("room-inwards", "room-outwards"):
        assert "equally spaced and turned alike on both" in flange()[side].reason


def test_a_missing_tolerance_is_found_out_first() -> None:
    finding = flange(position=None)["room-inwards"]
    assert finding.verdict is Verdict.MEASURE_FIRST
    assert "Corran position is unknown" in finding.reason
