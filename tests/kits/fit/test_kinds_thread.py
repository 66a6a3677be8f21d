"""What a check of a bolt in a threaded hole says, in the words of the trade."""

import pytest

from kits.fit import Verdict
from tests.kits.fit.asking import found, question

BOLT = {"male": "M12x1.25", "female": "M12x1.25", "bolt-length": "30 mm", "clamped": "8 mm",
        "depth": "26 mm", "class": "10.9", "material": "steel"}  # fmt: skip


def reason(part: str, settings: dict[str, str] | None = None, **given: str) -> tuple[Verdict, str]:
    changed = {role.replace("_", "-"): value for role, value in given.items()}
    finding = found(question("thread", {**BOLT, **changed}, settings))[part]
    return finding.verdict, finding.reason


@pytest.mark.parametrize(
    ("part", "settings", "given", "fault"),
    [
        ("thread", {}, {"male": "M12x1.5"}, "Wrong thread. "),
        ("engaged", {}, {"bolt_length": "20 mm"}, "Too short. "),
        ("room", {}, {"bolt_length": "34 mm"}, "Bottoms. "),
        ("strength", {"least-class": "12.9"}, {}, "Too weak. "),
    ],
)
def test_the_fault_comes_first_by_its_name(
    part: str, settings: dict[str, str], given: dict[str, str], fault: str
) -> None:
    verdict, said = reason(part, settings, **given)
    assert verdict is Verdict.DOES_NOT_GO
    assert said.startswith(fault)
    verdict, said = reason(part, {"least-class": "8.8"})
    assert verdict is Verdict.GOES_TOGETHER
    assert fault not in said


def test_a_thread_that_nearly_fits_is_called_dangerous_and_the_right_one_named() -> None:
    said = reason("thread", male="M12x1.5")[1]
    assert "Danger: they are so alike that they start by hand" in said
    assert said.endswith("Use a bolt with M12x1.25.")


def test_only_the_rule_that_asks_for_most_is_in_the_reason_and_all_are_in_the_working() -> None:
    short = found(question("thread", {**BOLT, "bolt-length": "20 mm"}))["engaged"]
    assert (
        "What is wanted is reckoned for a bolt of class 10.9 (ISO 898-1), 1040 MPa, to break before its "
        "thread strips in steel of 360 MPa (FED-STD-H28, J = "
    ) in short.reason
    assert "diameter" not in short.reason
    assert "1 times the diameter in steel" in short.figures[0].source


def test_of_a_bolt_that_bottoms_another_bolt_is_advised_before_a_deeper_hole() -> None:
    said = reason("room", bolt_length="34 mm")[1]
    bolt, hole = "bolt-length would have to be at most 32.75 mm", "depth would have to be at least 27.25 mm"
    assert 0 < said.index(bolt) < said.index(hole)


def test_a_class_that_is_too_low_is_told_with_both_loads_and_the_class_to_use() -> None:
    assert reason("strength", {"least-class": "10.9"}, **{"class": "8.8"})[1] == (
        "Too weak. Check, strength: M12x1.25 of class 8.8 (ISO 898-1) bears 53418 N, and 76443 N is wanted; "
        "use a bolt of class 10.9 (ISO 898-1) or a higher one."
    )
