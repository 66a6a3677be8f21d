"""Two counters swap in one kit at the same moment: one of them is told to look again."""

from collections.abc import Callable
from typing import Any

import pytest

from inventory.acting import Conflict
from kits.customising import let_follow, open_kit, swap, swap_together
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


@pytest.mark.django_db(transaction=True)
def test_several_slots_swapped_together_lose_whole_to_one_that_was_quicker(
    run_in_threads: Callable[..., list[Any]], clerk: Clerk
) -> None:
    belt, counter = belt_pump().released(), clerk("counter")
    kit = open_kit(counter, belt.template, belt.engine)

    def mine() -> CustomKit:
        return CustomKit.objects.get(pk=kit.pk)

    both = {"pulley": belt.key("CP-141"), "spacer": belt.key("CS-22")}
    outcomes = run_in_threads(
        lambda: swap_together(counter, mine(), both, version=1),
        lambda: let_follow(counter, mine(), "pulley", version=1),
    )
    refused = [outcome for outcome in outcomes if isinstance(outcome, Conflict)]
    assert len(refused) == 1 and refused[0].code == "version-moved-on"
    swapped = outcomes.index(refused[0]) == 1
    parts = {fill.slot.code: fill.parts.get().part.number for fill in kit.fills.exclude(slot__code="guard")}
    assert (parts["pulley"], parts["spacer"]) == (("CP-141", "CS-22") if swapped else ("CP-104", "CS-32"))
    chosen = set(kit.fills.filter(chosen=True).values_list("slot__code", flat=True))
    assert chosen == ({"pulley", "spacer"} if swapped else set())
