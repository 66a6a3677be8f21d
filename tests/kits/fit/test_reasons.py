import json
from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given

from kits.fit import (
    Band,
    Length,
    Measured,
    Term,
    Verdict,
    Wanted,
    judge,
)

from .checks import TURN, band_of, gap, term, wanted
from .strategies import corners, is_wanted, known_terms, term_corners, wishes


def test_every_unknown_feature_is_named_and_nothing_is_said_to_fit() -> None:
    finding = gap(term(1, None), term(-1, None, "hub length"), term(1, "0.2 mm", "washer", works=(TURN,)))
    assert (finding.verdict, finding.result, finding.job) == (Verdict.MEASURE_FIRST, None, None)
    assert [m.name for m in finding.measure] == ["boss height", "hub length"]
    assert finding.reason == (
        "Belt plane gap cannot be worked out, because Corran bracket boss height and Corran bracket "
        "hub length are unknown; wanted 0.10 to 0.60 mm (0.0040 to 0.0236 in). Measure Corran bracket "
        "boss height with a caliper (0.02 mm) and Corran bracket hub length with a caliper (0.02 mm)."
    )


def test_the_largest_shares_are_measured_until_a_good_reading_can_settle_it() -> None:
    finding = gap(
        term(1, "30..31 mm"),
        term(-1, "29.9..30.0 mm", "hub length"),
        term(-1, "0.05 mm", "washer"),
    )
    assert finding.verdict is Verdict.MEASURE_FIRST
    assert [m.name for m in finding.measure] == ["boss height"]
    assert "boss height with a caliper (0.02 mm); it goes together at 30.15 to 30.55 mm" in finding.reason


@given(known_terms(), wishes())
def test_good_readings_of_the_named_features_can_settle_the_check(terms: list[Term], wish: Wanted) -> None:
    """With whole factors: some reading of what is to be measured leaves the result wholly inside."""
    terms = [replace(one, factor=1) for one in terms]
    finding = judge("gap", "Gap", terms, wish)
    if finding.verdict is not Verdict.MEASURE_FIRST:
        return
    named = [i for i, one in enumerate(terms) if one.measured in finding.measure]
    rest = term_corners([one for i, one in enumerate(terms) if i not in named])
    reached = list(corners([(terms[i].sign, 1, band_of(terms[i])) for i in named]))
    readings = range(int(min(reached)), int(max(reached)) + 1)
    assert any(all(is_wanted(reading + other, wish) for other in rest) for reading in readings)


@pytest.mark.parametrize(
    ("role", "spread", "tool"),
    [
        ("link", "0.30..0.70 mm", "caliper (0.02 mm)"),
        ("link", "0.40..0.70 mm", "caliper (0.02 mm)"),
        ("link", "0.41..0.70 mm", "micrometer (0.01 mm)"),
        ("link", "0.50..0.70 mm", "micrometer (0.01 mm)"),
        ("link", "0.52..0.70 mm", "fine micrometer (0.001 mm)"),
        ("bore", "0.58..0.70 mm", "bore gauge (0.002 mm)"),
        ("bore", "0.48..0.70 mm", "inside micrometer (0.01 mm)"),
        ("depth", "0.30..0.70 mm", "depth gauge (0.02 mm)"),
        ("depth", "0.58..0.70 mm", "depth micrometer (0.01 mm)"),
    ],
)
def test_the_tool_reads_to_a_tenth_of_the_room(role: str, spread: str, tool: str) -> None:
    """Common practice, no source."""
    assert f"with a {tool}" in gap(term(1, spread, role=role)).reason


def test_a_miss_says_by_how_much_and_what_would_have_to_change() -> None:
    finding = gap(term(1, "31.00..31.10 mm"), term(-1, "30.00 mm", "hub length"))
    assert finding.verdict is Verdict.DOES_NOT_GO
    assert finding.reason == (
        "Belt plane gap is 1.00 to 1.10 mm (0.0393 to 0.0434 in), wanted 0.10 to 0.60 mm "
        "(0.0040 to 0.0236 in). It misses by 0.40 mm (0.0158 in) at the least; Corran bracket boss "
        "height would have to be 30.10 to 30.60 mm (1.1851 to 1.2047 in), or Corran bracket hub length "
        "would have to be 30.50 to 30.90 mm (1.2008 to 1.2165 in)."
    )


def test_a_miss_that_no_single_change_mends_says_so() -> None:
    finding = gap(term(1, "31.0..31.6 mm"), term(-1, "29.0..29.6 mm", "hub length"))
    assert "at the least; no change to a single one of these sizes would mend it." in finding.reason


def test_a_miss_of_many_parts_names_two_that_could_change() -> None:
    finding = gap(
        term(1, "1 mm"), term(1, "2 mm", "washer"), term(1, "3 mm", "collar"), term(-1, "4 mm", "hub")
    )
    assert finding.reason.count("would have to be") == 2


def test_nobody_is_asked_to_make_a_part_thinner_than_nothing() -> None:
    finding = gap(term(1, "1.00 mm"), term(1, "5.00 mm", "washer"))
    assert "no change to a single one of these sizes would mend it" in finding.reason


def test_a_miss_of_half_a_step_counts_as_a_whole_one() -> None:
    wide = Term(1, Measured("Corran", "diameter", Band.exactly(Length(5)), ""), Fraction(1, 2))
    assert "misses by 0.00002 mm" in gap(wide, wish=Wanted(None, Length(1))).reason


def test_a_spread_that_just_fits_what_is_wanted_is_not_measured() -> None:
    finding = gap(term(1, "30..31 mm"), term(-1, "29.5..30.0 mm", "hub length"))
    assert [m.name for m in finding.measure] == ["boss height"]


def test_two_readings_share_the_room_and_a_diameter_has_twice_that_of_its_radius() -> None:
    two = gap(
        term(1, "10.25..10.85 mm"), term(-1, "9.9..10.5 mm", "hub length"), wish=wanted("0 mm", "0.3 mm")
    )
    assert len(two.measure) == 2 and two.reason.count("with a micrometer (0.01 mm)") == 2
    unknown = gap(term(1, None), term(-1, None, "hub length"), wish=wanted("0 mm", "0.3 mm"))
    assert unknown.reason.count("with a micrometer (0.01 mm)") == 2
    radius = gap(term(1, "0.90..1.40 mm", factor=Fraction(1, 2)))
    assert "with a caliper (0.02 mm)" in radius.reason


def test_a_miss_beyond_the_listed_works_says_so() -> None:
    finding = gap(term(1, "32.0 mm", works=(TURN,)), term(-1, "30.0 mm", "hub length"))
    assert finding.verdict is Verdict.DOES_NOT_GO and "no shop work listed reaches that" in finding.reason


def test_a_one_sided_wish_names_one_end() -> None:
    reason = gap(term(1, "1.0 mm"), wish=wanted("2 mm", None)).reason
    assert "wanted at least 2.00 mm (0.0788 in)" in reason
    assert "boss height would have to be at least 2.00 mm (0.0788 in)" in reason
    reason = gap(term(1, "3.0 mm"), wish=wanted(None, "2 mm")).reason
    assert "wanted at most 2.00 mm (0.0787 in)" in reason
    assert "boss height would have to be at most 2.00 mm (0.0787 in)" in reason


def test_what_parts_do_never_looks_better_in_inches_than_it_is() -> None:
    reason = gap(term(1, "0.30..0.50 mm")).reason
    assert reason == (
        "Belt plane gap is 0.30 to 0.50 mm (0.0118 to 0.0197 in), "
        "wanted 0.10 to 0.60 mm (0.0040 to 0.0236 in)."
    )


def test_a_finding_is_stored_as_plain_values_that_read_back_exactly() -> None:
    finding = gap(term(1, "30.61..30.70 mm", works=(TURN,)), term(-1, "30 mm", "hub", factor=Fraction(1)))
    stored = json.loads(json.dumps(finding.as_dict()))
    assert stored["verdict"] == "goes with work"
    assert stored["result"] == {"lo": "0.61 mm", "hi": "0.70 mm", "lo_units": 61_000, "hi_units": 70_000}
    assert stored["wanted"] == {"at_least": "0.10 mm", "at_most": "0.60 mm"}
    assert stored["terms"][0] == {
        "owner": "Corran bracket",
        "feature": "boss height",
        "lo": "30.61 mm",
        "hi": "30.70 mm",
        "lo_units": 3_061_000,
        "hi_units": 3_070_000,
        "value": None,
        "source": "drawing CB-4",
        "sign": 1,
        "factor": "1",
        "role": "link",
    }
    assert (stored["job"]["amount"], stored["job"]["work"]["price"]) == ("0.12 mm", "45.00")
    assert finding.result == Band(*(Length.parse(stored["result"][end]) for end in ("lo", "hi")))


def test_an_unknown_result_is_stored_as_none() -> None:
    stored = gap(term(1, None)).as_dict()
    assert stored["result"] is None and stored["measure"][0]["lo"] is None
