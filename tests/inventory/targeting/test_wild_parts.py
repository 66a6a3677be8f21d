"""One part that sells by the thousand, and what it does to a run over all."""

from __future__ import annotations

from decimal import Decimal

import pytest

from inventory import targeting
from inventory.models import MonthlyDemand, Target, TargetRun
from tests.inventory.targeting.shelves import first_of, the_shelves

pytestmark = [pytest.mark.django_db, pytest.mark.main_job]


def reckoned() -> TargetRun:
    return targeting.go_on(targeting.begin(None, wanted=Decimal("0.9")))


def test_a_part_that_goes_by_the_crate_fills_no_other_shelf() -> None:
    shop = the_shelves()
    reckoned()
    filter_ = Target.objects.get(part=shop.part("FILTER"))
    before = filter_.reorder_at, filter_.up_to
    MonthlyDemand.objects.create(part=shop.part("PLUG"), month=first_of(2), quantity=10_000)
    reckoned()
    filter_.refresh_from_db()
    assert (filter_.reorder_at, filter_.up_to) == pytest.approx(before, abs=1)
    assert Target.objects.get(part=shop.part("PLUG")).up_to > 100


def test_a_part_of_which_too_much_is_sold_to_be_reckoned_is_named() -> None:
    shop = the_shelves()
    MonthlyDemand.objects.create(part=shop.part("PLUG"), month=first_of(2), quantity=2_000_000_000)
    run = reckoned()
    assert run.stage == "failed" and run.ended_at
    assert "PLUG" in run.note and "FILTER" not in run.note and "correct its demand" in run.note
