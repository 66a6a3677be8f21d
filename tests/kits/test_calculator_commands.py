"""The desk calculator's commands, as a machinist calls them, against figures worked by hand.

No test of them asks for the database: pytest-django refuses any that is touched. Values of ISO 286, of
threads and of press fits are those that tests/published holds with their sources.
"""

from pathlib import Path

import pytest

from .calculator import PRESS, plain, said, with_deck

HALVED = """
[[link]]
name = "bridge"
add = "62.5 +/-0.05 mm"
[[link]]
name = "large end"
take = "80 +/-0.04 mm"
over = 2
[[link]]
name = "small end"
take = "44 +/-0.02 mm"
over = 2
"""


@pytest.fixture
def deck(tmp_path: Path) -> str:
    return with_deck(("deck",), tmp_path)[0]


def um(text: str, *classes: str) -> list[tuple[str, str]]:
    rows = plain("limits", text, *classes)["classes"]
    return [(row["lower"]["um"], row["upper"]["um"]) for row in rows]


def test_limits_are_those_of_iso_286() -> None:
    assert um("25", "H7", "g6") == [("0", "21"), ("-20", "-7")]
    assert um("60", "JS7", "h6") == [("-15", "15"), ("-19", "0")]
    assert um("80.5", "s6") == [("71", "93")]


def test_limits_print_deviations_and_limits_of_size() -> None:
    text = said("limits", "25", "H7", "g6")
    assert "H7 0 +21 25.00 to 25.021 mm (0.9842 to 0.9851 in)" in text
    assert "g6 -20 -7 24.98 to 24.993 mm (0.9834 to 0.9840 in)" in text


def test_limits_of_an_inch_size_can_be_read_in_inches() -> None:
    assert "H8 0 +33 0.7500 to 0.7513 in (19.05 to 19.083 mm)" in said("limits", "3/4 in H8", "--unit", "in")


@pytest.mark.parametrize(
    ("bore", "shaft", "clearance", "kind"),
    [
        ("25 H7", "25 g6", ("0.007 mm", "0.041 mm"), "clearance"),
        ("50 H7", "50 p6", ("-0.042 mm", "-0.001 mm"), "interference"),
        ("30 K7", "30 h6", ("-0.015 mm", "0.019 mm"), "transition"),
        ("19.05 +0.02/-0.00 mm", "19.00 +/-0.01 mm", ("0.04 mm", "0.08 mm"), "clearance"),
    ],
)
def test_a_pair_has_its_clearance_and_kind(
    bore: str, shaft: str, clearance: tuple[str, str], kind: str
) -> None:
    found = plain("pair", bore, shaft)
    assert (found["pair"]["clearance"]["lo"], found["pair"]["clearance"]["hi"]) == clearance
    assert found["pair"]["kind"] == kind
    assert found["finding"] is None


@pytest.mark.parametrize(
    ("wanted", "verdict"),
    [
        (("--at-least", "0.005", "--at-most", "0.050"), "goes together"),
        (("--at-least=-0.01", "--at-most", "0.041 mm"), "goes together"),
        (("--at-most", "0.030"), "measure first"),
        (("--at-least", "0.042"), "does not go"),
        (("--like", "25 H7/g6"), "goes together"),
        (("--like", "25 H7/h6"), "measure first"),
    ],
)
def test_a_pair_is_judged_by_what_is_wanted(wanted: tuple[str, ...], verdict: str) -> None:
    assert plain("pair", "25 H7", "25 g6", *wanted)["finding"]["verdict"] == verdict
    assert f"{verdict.upper()}: Clearance is 0.007 to 0.041 mm" in said("pair", "25 H7", "25 g6", *wanted)


def test_a_chain_has_its_worst_case_and_rss(deck: str) -> None:
    text = said("chain", deck)
    assert "worst case 0.27 to 0.73 mm (0.0106 to 0.0288 in)" in text
    # Half the RSS width is sqrt(0.1^2 + 0.03^2 + 0.05^2 + 0.05^2) = sqrt(0.0159) = 0.12610 mm, up.
    assert "RSS 0.3739 to 0.6261 mm" in text
    assert "MEASURE FIRST: Deck height is 0.27 to 0.73 mm" in text


def test_half_a_diameter_counts_half(tmp_path: Path) -> None:
    path = tmp_path / "halved.toml"
    path.write_text(HALVED)
    worst = plain("chain", str(path))["result"]["worst_case"]
    assert (worst["lo"], worst["hi"]) == ("0.42 mm", "0.58 mm")


def test_the_share_inside_is_that_of_the_normal_curve(deck: str) -> None:
    # Below 0.35 lie 0.0179 % of gaps by the curve to infinity; cut off at the bands it is somewhat less.
    share = plain("chain", deck, "--draws", "200000")["result"]["share_inside"]
    assert 0.9997 < share["share"] < 1
    assert 0 < share["error"] < 0.0001
    assert not share["certain"]


def test_the_seed_and_the_shape_of_the_draws_are_chosen(deck: str) -> None:
    once = plain("chain", deck, "--seed", "7")["result"]
    assert once == plain("chain", deck, "--seed", "7")["result"]
    assert once["mean"] != plain("chain", deck, "--seed", "8")["result"]["mean"]
    flat = plain("chain", deck, "--distribution", "uniform", "--draws", "1000")["result"]
    assert flat["simulated"] == {"draws": 1000, "distribution": "uniform", "seed": 1}
    # A uniform band of half-width t has the deviation t / sqrt(3): sqrt(0.0159 / 3) = 0.0728 mm.
    assert flat["deviation"]["value"] == pytest.approx(0.0728, rel=0.1)


def test_a_thread_has_its_basic_sizes_and_loads() -> None:
    text = said("thread", "M8x1.25", "--class", "8.8")
    assert "stress area 36.61 mm2" in text
    found = plain("thread", "M8", "--class", "8.8")
    # By ISO 724: d2 = d - 0.64952 P, D1 = d - 1.08253 P.
    assert found["thread"]["pitch_diameter"]["units"] == pytest.approx(718_810, abs=1)
    assert found["thread"]["minor"]["units"] == pytest.approx(664_684, abs=1)
    assert found["thread"]["pitch"] == {"text": "1.25 mm", "mm": 1.25, "units": "125000"}
    assert found["loads"]["proof_load"]["value"] == pytest.approx(21_200, rel=0.003)


def test_an_inch_thread_is_shown_in_inches_first() -> None:
    text = said("thread", "1/4-20 UNC", "--unit", "in")
    assert "pitch diameter 0.2175 in (5.52" in text
    assert "minor diameter 0.1959 in (4.97" in text
    assert "stress area 0.03182 in2 (20.53 mm2)" in text


def test_the_engagement_is_the_larger_of_strength_and_practice() -> None:
    assert "engaged length 18.00 mm (0.7087 in)" in said("thread", "M12", "--material", "cast iron")
    assert "engaged length 24.00 mm (0.9449 in)" in said("thread", "M12", "--multiple", "2")
    strong = plain("thread", "M12", "--class", "8.8", "--material", "cast iron")["engagement"]
    assert strong["needed"]["units"] > 1_800_000
    assert "break before its thread strips in cast iron" in strong["basis"]


def test_two_threads_match_or_the_reason_is_told() -> None:
    assert "GOES TOGETHER" in said("thread", "M12x1.75-6g", "M12")
    wrong = said("thread", "M12", "1/2-13 UNC")
    assert "DOES NOT GO" in wrong
    assert "1.75 mm and 1.9538 mm (13 threads per inch)" in wrong
    assert "start by hand" in wrong


def test_a_press_fit_has_its_pressures_and_stresses() -> None:
    found = plain(*PRESS, "--hub-yield", "355", "--shaft-yield", "355")
    held = {row["figure"]: row for row in found["held"]}
    ends = [(held[name]["least"]["value"], held[name]["most"]["value"]) for name in ("pressure", "hub_hoop")]
    assert ends == [pytest.approx((27.871, 87.248), rel=1e-3), pytest.approx((51.479, 161.152), rel=1e-3)]
    assert found["joint"]["interference"]["lo"] == "0.023 mm"
    assert found["finding"]["verdict"] == "goes together"


def test_a_press_fit_holds_by_its_friction_and_is_shrunk_on_by_heat() -> None:
    found = plain(*PRESS, "--friction", "0.12", "--hub-yield", "355", "--torque", "400")
    held = {row["figure"]: row["least"] for row in found["held"]}
    # pi 60 60 27.871 0.12 = 37,826 N, times 30 mm is 1135 Nm; 400 of it are 35.2 %.
    assert held["axial"]["value"] == pytest.approx(37_826, rel=1e-3)
    assert held["torque"]["value"] == pytest.approx(1134.8, rel=1e-3)
    assert held["load_share"] == pytest.approx(0.3525, rel=1e-3)
    # (0.072 + 0.050) / (60 x 11.7e-6) = 173.79 K.
    assert found["assembly"]["heat_hub"]["kelvin"] == pytest.approx(173.79, abs=0.01)
    assert "heat the hub to 194 C (381 F) [up by 173.8 K from 20 C]" in said(*PRESS)


def test_beyond_yield_no_figure_is_made_up() -> None:
    text = said(*PRESS)
    assert "pressure 27.88 MPa (4,043 psi) yields" in text
    assert "the hub yields: it stays elastic up to" in text
    assert "MEASURE FIRST" in text


def test_roughness_and_a_hollow_shaft_are_counted() -> None:
    # 0.8 (6.3 + 3.2) = 7.6 um less.
    found = plain(*PRESS, "--roughness", "6.3 um", "3.2 um", "--shaft-bore", "20", "--hub-yield", "355")
    effective = found["joint"]["effective"]
    assert (effective["lo"], effective["hi"]) == ("0.0154 mm", "0.0644 mm")
    assert found["joint"]["shaft_bore"]["lo"] == "20.00 mm"


def test_what_chilling_cannot_do_is_said_in_its_place() -> None:
    text = said(*PRESS, "--clearance", "0.2", "--hub-yield", "355")
    assert "or chill the shaft to chilling the shaft by 387 K is not possible; heat the hub instead" in text
