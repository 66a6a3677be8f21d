"""The digest by which things are kept is the same in every process, and changes with every fact."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from kits.conversion import RuleRead, RuleTermRead
from kits.facts import digest, rule_said

ROOT = Path(__file__).parents[2]
MAKERS = ("aldwen", "corvane", "drossett", "hoskerby", "tarrowby")


def rule(*values: str, unless: bool = False) -> RuleRead:
    when = RuleTermRead(1, "maker", unless, frozenset(values))
    return RuleRead("ours", "clashes", "They clash.", None, (when,), ())


def test_a_rule_is_digested_alike_in_every_process() -> None:
    program = (
        "from tests.kits.test_facts import MAKERS, rule; from kits.facts import digest, rule_said; "
        "print(digest([rule_said(rule(*MAKERS))]))"
    )
    answers = {
        subprocess.run(
            [sys.executable, "-c", program],
            cwd=ROOT,
            env=os.environ | {"PYTHONHASHSEED": seed, "DJANGO_SETTINGS_MODULE": "tests.settings"},
            capture_output=True,
            check=True,
            text=True,
        ).stdout
        for seed in ("1", "2", "3")
    }
    assert answers == {digest([rule_said(rule(*MAKERS))]) + "\n"}


@pytest.mark.parametrize("other", [rule("aldwen"), rule(*MAKERS, unless=True), rule(*MAKERS, "ilvane")])
def test_another_rule_has_another_digest(other: RuleRead) -> None:
    assert digest([rule_said(other)]) != digest([rule_said(rule(*MAKERS))])
