"""Two counters swap in one kit at the same moment: one of them is told to look again."""

from collections.abc import Callable
from typing import Any

import pytest

from inventory.acting import Conflict
from kits.customising import open_kit, swap
from kits.models import CustomKit
from tests.clerks import Clerk
from tests.kits.builders import belt_pump

pytestmark = pytest.mark.main_job


@pytest.mark.django_db(transaction=True)
def test_of_two_swaps_on_the_same_version_one_counts(
    run_in_threads: Callable[..., list[Any]], clerk: Clerk
) -> None:
    belt, counter = belt_pump().released(), clerk("counter")
    kit = open_kit(counter, belt.template, belt.engine)

    def swapping(number: str) -> CustomKit:
        mine = CustomKit.objects.get(pk=kit.pk)
        return swap(counter, mine, "pulley", belt.key(number), version=1)

    outcomes = run_in_threads(lambda: swapping("CP-120"), lambda: swapping("CP-141"))
    refused = [outcome for outcome in outcomes if isinstance(outcome, Conflict)]
    assert len(refused) == 1 and refused[0].code == "version-moved-on"
    won = "CP-120" if outcomes.index(refused[0]) == 1 else "CP-141"
    kit.refresh_from_db()
    assert kit.version == 2
    assert kit.fills.get(slot__code="pulley").parts.get().part.number == won
