"""What is expected of one part, month by month."""

from __future__ import annotations

from decimal import Decimal

import pytest

from inventory import targeting
from inventory.models import MonthlyDemand
from inventory.planning import PlanningError
from tests.inventory.builders import a_part, today
from tests.inventory.targeting.shelves import first_of, the_shelves

pytestmark = [pytest.mark.django_db, pytest.mark.main_job]


def test_months_begin_with_this_one_and_quantiles_enclose_the_mean() -> None:
    shop = the_shelves()
    found = targeting.forecast_of(shop.part("FILTER").pk, today(), months=4)
    assert found is not None
    assert len(found.months) == len(found.mean) == 4
    assert found.months[0] == today().replace(day=1) and found.months[1] == first_of(-1)
    assert 4 < found.mean[0] < 8
    assert list(found.quantiles) == [10, 25, 50, 75, 90]
    for month in range(4):
        levels = [found.quantiles[level][month] for level in found.quantiles]
        assert levels == sorted(levels)
        assert levels[0] <= found.mean[month] <= levels[-1]


def test_a_run_that_saw_all_parts_knows_better_how_far_demand_may_lie_from_it() -> None:
    shop = the_shelves()
    filter_ = shop.part("FILTER").pk
    before = targeting.forecast_of(filter_, today())
    targeting.go_on(targeting.begin(None, wanted=Decimal("0.9")))
    after = targeting.forecast_of(filter_, today())
    assert before is not None and after is not None
    assert before.mean == after.mean and before.method == after.method
    assert before.quantiles != after.quantiles


def test_seasons_are_in_it() -> None:
    part = a_part()
    for back in range(48, 0, -1):
        month = first_of(back)
        MonthlyDemand.objects.create(part=part, month=month, quantity=40 if month.month in (5, 6) else 2)
    found = targeting.forecast_of(part.pk, today(), months=12)
    assert found is not None and found.method == "seasonal"
    by_month = dict(zip((month.month for month in found.months), found.mean, strict=True))
    assert by_month[5] > 5 * by_month[1]


def test_a_part_that_was_never_here_or_is_superseded_has_none() -> None:
    shop = the_shelves()
    assert targeting.forecast_of(a_part().pk, today()) is None
    old = shop.part("PLUG")
    a_part("PLUG 2").supersedes.create(old=old, since=first_of(1))
    assert targeting.forecast_of(old.pk, today()) is None


def test_no_forecast_is_for_no_months_or_for_ever() -> None:
    for months in (0, 37):
        with pytest.raises(PlanningError, match="1 to 36 months"):
            targeting.forecast_of(1, today(), months=months)
