"""What breaks the constraints of targets and their runs, for tests/inventory/test_constraints.py."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from typing import Any

from django.utils import timezone

from inventory.models import Target, TargetRun
from tests.inventory.builders import a_part


def a_run(**values: Any) -> TargetRun:
    return TargetRun.objects.create(**{"started_at": timezone.now(), "wanted": Decimal("0.95")} | values)


def two_runs(stage: str) -> None:
    a_run(stage=stage)
    a_run(stage=stage)


def a_target(**values: Any) -> None:
    Target.objects.create(**{"part": a_part(), "reorder_at": 3, "up_to": 9} | values)


TARGET_BREAKS: dict[str, Callable[[], object]] = {
    "target_up_to_above_reorder": lambda: a_target(up_to=3),
    "target_reckoned_by_a_run": lambda: a_target(set_by="kits"),
    "target_run_wants_a_share": lambda: a_run(wanted=Decimal(1)),
    "target_run_does_no_more_than_all": lambda: a_run(parts=3, parts_done=4),
    "target_run_ends_when_done": lambda: a_run(stage="done"),
    "one_target_run_at_parts": lambda: two_runs("parts"),
    "one_target_run_at_kits": lambda: two_runs("kits"),
}
