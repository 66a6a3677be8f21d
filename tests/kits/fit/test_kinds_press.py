"""What a check of a press fit says, in the words of the trade."""

import pytest

from kits.fit import Finding, Verdict, ask
from tests.kits.fit.asking import question

JOINT = {"shaft": "30.040 +/-0.002 mm", "hub-outside": "56 mm", "length": "38 mm",
         "hub-material": "steel", "shaft-material": "steel"}  # fmt: skip


def press(bore: str, **settings: str) -> Finding:
    strong = {"hub-yield": "400", "shaft-yield": "400", **settings}
    (finding,) = ask(question("press", {"bore": bore, **JOINT}, strong))
    return finding


@pytest.mark.parametrize(
    ("bore", "settings", "fault"),
    [
        ("30.036 +/-0.002 mm", {"torque": "160"}, "Too loose: it slips under 160 Nm. "),
        ("30.060 +/-0.002 mm", {}, "Too loose: it does not grip. "),
        ("29.950 +/-0.002 mm", {"torque": "160"}, "Too tight: pressed on, it is stressed beyond 80 % of the"),
    ],
)
def test_the_fault_comes_first_by_its_name(bore: str, settings: dict[str, str], fault: str) -> None:
    finding = press(bore, **settings)
    assert finding.verdict is Verdict.DOES_NOT_GO
    assert finding.reason.startswith(fault)


@pytest.mark.parametrize(
    ("bore", "verdict"),
    [
        ("30.010 +/-0.002 mm", Verdict.GOES_TOGETHER),
        ("30.028 +/-0.002 mm", Verdict.MEASURE_FIRST),
    ],
)
def test_what_is_right_or_not_known_closely_enough_has_no_fault(bore: str, verdict: Verdict) -> None:
    finding = press(bore, torque="160")
    assert finding.verdict is verdict
    assert finding.reason.startswith("Check is ")
