"""Every special case of fixtures/demo/README.md has its verdict, by its check and for its reason."""

import pytest

from kits.fit import Verdict
from tests.shop.demo.benching import finding, judged

pytestmark = pytest.mark.usefixtures("shop")

GOES, WORK, MEASURE, NOT = (
    Verdict.GOES_TOGETHER,
    Verdict.GOES_WITH_WORK,
    Verdict.MEASURE_FIRST,
    Verdict.DOES_NOT_GO,
)
BELT, RAW, DRIVE = "belt-front", "raw-water-aside", "flexible-drive"

# The slots that are filled otherwise than in the standard kit, the finding that says so, how it ends,
# and what its reason says. The sizes behind it stand in fixtures/demo/parts.
LENGTHS = [
    (BELT, "BOD-22", {"crank_pulley": "tarrowby TL/4-110"}, "nose-gap", NOT, "AW-1407"),
    (BELT, "BOD-22", {"crank_pulley": "aldwen AW-1204"}, "nose-gap", NOT, "AW-1406"),
    (BELT, "BOD-22", {"spacer": "aldwen AW-1405"}, "nose-gap", MEASURE, "AW-1405 thickness with a"),
    (BELT, "BOD-22", {"crank_pulley": "tarrowby TL/5-260"}, "nose-gap", MEASURE, "hub length is unknown"),
    (BELT, "BOD-22", {"crank_pulley": "own"}, "nose-gap", MEASURE, "customer's own Crank pulley hub length"),
    (BELT, "HED-11", {"belt": "hoskerby HB-0875"}, "belt-reach", MEASURE, "tensioner slack with a"),
    (BELT, "BOD-22", {"belt": "own"}, "belt-reach", MEASURE, "customer's own Belt belt length"),
    (BELT, "BOD-22", {"adaptor": "tarrowby TL/6-300"}, "adaptor-register", WORK, "take up to"),
    (BELT, "BOD-22", {"adaptor": "tarrowby TL/6-301"}, "adaptor-register", NOT, "no shop work listed"),
    (RAW, "BOD-22", {"raw_pump": "corvane CV 515"}, "drive-gap", NOT, "AW-1705"),
    (RAW, "BOD-22", {"bracket": "ellermoor E-21-D"}, "drive-gap", NOT, "AW-1705"),
    (RAW, "HED-10", {"bracket": "ellermoor E-21-C"}, "spigot", WORK, "open by up to"),
    (RAW, "HED-10", {"raw_pump": "ellermoor E-30"}, "spigot", WORK, "open by up to"),
    (DRIVE, "FET-30", {"drive_plate": "tarrowby TL/8-800"}, "plate-pilot", WORK, "take up to"),
    (DRIVE, "FET-30", {"hub": "ilvane IV.38.30"}, "end-float", NOT, "AW-1605"),
]
BOLTS = [
    (
        BELT,
        "HED-11",
        {"nose_bolt": "drossett DF-12-030-M"},
        "nose-bolt.thread",
        NOT,
        "Danger: they are so alike",
    ),
    (BELT, "HED-11", {"nose_bolt": "drossett DF-12-030-Z"}, "nose-bolt.strength", NOT, "Too weak. "),
    (BELT, "HED-11", {"nose_bolt": "drossett DF-12-020-S"}, "nose-bolt.engaged", NOT, "Too short. "),
    (BELT, "HED-11", {"nose_bolt": "drossett DF-12-035-S"}, "nose-bolt.room", NOT, "Bottoms. "),
    (BELT, "HED-11", {"nose_bolt": "drossett DF-12-040-S"}, "nose-bolt.room", NOT, "clamps nothing"),
    (BELT, "HED-11", {"pump_bolts": "drossett DF-08-045"}, "pump-bolts.room", NOT, "Bottoms. "),
    (BELT, "BOD-22", {"pump_bolts": "drossett DF-08-035"}, "pump-bolts.engaged", NOT, "in aluminium"),
    (BELT, "HED-11", {"pump_bolts": "drossett DF-08-040-A4"}, "pump-bolts.engaged", GOES, "engaged is"),
    (RAW, "HED-13", {"bracket_bolts": "drossett DF-08-025"}, "bracket-bolts.engaged", NOT, "in aluminium"),
    (
        DRIVE,
        "FET-30",
        {"coupling_bolts": "drossett DF-10-025-P"},
        "coupling-bolts.engaged",
        NOT,
        "Too short. ",
    ),
    (DRIVE, "FET-30", {"coupling_bolts": "drossett DF-10-040-P"}, "coupling-bolts.room", NOT, "Bottoms. "),
    (
        DRIVE,
        "FET-30",
        {"element": "ilvane IV.95"},
        "coupling-bolts.engaged",
        MEASURE,
        "IV.95 thickness is unknown",
    ),
    (
        DRIVE,
        "FET-30",
        {"drive_plate": "tarrowby TL/8-802"},
        "flange-bolts.room-inwards",
        NOT,
        "It misses by 1.97846 mm",
    ),
]
JOINTS = [
    (
        BELT,
        "BOD-22",
        {"pump_pulley": "aldwen AW-1504"},
        "pump-pulley-press",
        NOT,
        "Too loose: it slips under 6 Nm",
    ),
    (BELT, "BOD-22", {"pump_pulley": "tarrowby TL/7-400"}, "pump-pulley-press", NOT, "Too tight: "),
    (
        BELT,
        "BOD-22",
        {"pump_pulley": "tarrowby TL/7-401"},
        "pump-pulley-press",
        MEASURE,
        "material is unknown",
    ),
    (BELT, "BOD-22", {"pump": "ellermoor E-34"}, "pump-pulley-press", MEASURE, "shaft diameter is unknown"),
    (
        BELT,
        "HED-11",
        {"key": "drossett DF-K-620S"},
        "crank-key.width-shaft",
        NOT,
        "would have to be 5.95 to 6.02 mm",
    ),
    (BELT, "HED-11", {"crank_pulley": "tarrowby TL/4-120"}, "crank-key.width-hub", NOT, "keyway width"),
    (DRIVE, "FET-30", {"hub": "ilvane IV.40.31"}, "hub-press", NOT, "Too loose: it slips under 160 Nm"),
    (DRIVE, "FET-30", {"hub": "ilvane IV.40.33"}, "hub-press", NOT, "Too loose: it slips under 160 Nm"),
    (DRIVE, "FET-30", {"hub": "ilvane IV.40.32"}, "hub-press", MEASURE, "IV.40.32 bore with a"),
]
RATINGS = [
    (
        BELT,
        "HED-11",
        {"crank_pulley": "aldwen AW-1202"},
        "belt-grooves",
        NOT,
        "HB-0880 grooves would have to be 3",
    ),
    (
        BELT,
        "BOD-22",
        {"belt": "hoskerby HB-0880-W"},
        "belt-profile",
        NOT,
        "All would have to say PK, or all SPZ",
    ),
    (
        BELT,
        "BOD-22",
        {"crank_pulley": "tarrowby TL/5-260"},
        "belt-profile",
        MEASURE,
        "belt profile is unknown",
    ),
    (BELT, "HED-11", {"pump": "corvane CV 340"}, "belt-power", NOT, "short by 0.52 kW"),
    (DRIVE, "FET-30", {"element": "ilvane IV.90.A"}, "coupling-torque", NOT, "short by 15 Nm"),
    (RAW, "HED-11", {"strainer": "ellermoor E-71"}, "hose-in-size", MEASURE, "must say the same as 19 mm"),
    (RAW, "HED-11", {"hose_in": "own"}, "hose-in-size", MEASURE, "customer's own Hose from the strainer"),
]


@pytest.mark.parametrize(
    ("template", "engine", "swaps", "code", "verdict", "says"), [*LENGTHS, *BOLTS, *JOINTS, *RATINGS]
)
def test_a_special_case_has_its_verdict_by_its_check(
    template: str, engine: str, swaps: dict[str, str], code: str, verdict: Verdict, says: str
) -> None:
    judgement = judged(template, engine, **swaps)
    assert judgement.verdict is verdict
    found = finding(judgement, code)
    assert found.verdict is verdict
    assert says in found.reason
    assert found.reason in judgement.reasons


@pytest.mark.parametrize(
    ("swaps", "code"),
    [
        ({"nose_bolt": "drossett DF-12-030-M"}, "nose-bolt.thread"),
        ({"nose_bolt": "drossett DF-12-030-Z"}, "nose-bolt.strength"),
        ({"nose_bolt": "drossett DF-12-020-S"}, "nose-bolt.engaged"),
        ({"nose_bolt": "drossett DF-12-035-S"}, "nose-bolt.room"),
        ({"pump": "corvane CV 340"}, "belt-power"),
        ({"pump_pulley": "tarrowby TL/7-400"}, "pump-pulley-press"),
    ],
)
def test_a_wrong_part_is_wrong_for_one_reason_only(swaps: dict[str, str], code: str) -> None:
    judgement = judged("belt-front", "HED-11", **swaps)
    assert [found.code for found in judgement.findings if found.verdict is not Verdict.GOES_TOGETHER] == [
        code
    ]


@pytest.mark.parametrize("bolt", ["drossett DF-08-035", "drossett DF-08-040"])
def test_iron_holds_with_less_thread_than_aluminium(bolt: str) -> None:
    iron, light = (judged("belt-front", engine, pump_bolts=bolt) for engine in ("BOD-21", "BOD-22"))
    on_iron, on_light = finding(iron, "pump-bolts.engaged"), finding(light, "pump-bolts.engaged")
    assert on_iron.result == on_light.result
    assert on_iron.wanted is not None and on_iron.wanted.at_least is not None
    assert on_light.wanted is not None and on_light.wanted.at_least is not None
    assert on_iron.wanted.at_least < on_light.wanted.at_least
    assert on_iron.verdict is Verdict.GOES_TOGETHER
