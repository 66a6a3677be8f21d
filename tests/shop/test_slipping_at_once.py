"""Two deliveries that one held quote waits for move at the same moment."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from datetime import date, timedelta
from threading import Barrier, BrokenBarrierError
from typing import Any

import pytest
from django.utils import timezone

from inventory.models import PurchaseLine
from shop import quoting, slipping
from shop.models import Notice
from shop.noticing import notice
from tests.clerks import Clerk
from tests.shop.small import SmallShop
from tests.shop.test_ordering import buy

pytestmark = pytest.mark.main_job

RunInThreads = Callable[..., list[Any]]


def in_days(days: int) -> date:
    return timezone.localdate() + timedelta(days=days)


@pytest.fixture
def side_by_side(monkeypatch: pytest.MonkeyPatch) -> Callable[[], None]:
    """Whoever is about to tell the counter waits for the other, unless that one cannot come so far."""
    both = Barrier(2)

    def meeting(*args: Any) -> Notice:
        with suppress(BrokenBarrierError):
            both.wait(2)
        return notice(*args)

    return lambda: monkeypatch.setattr("shop.redating.notice", meeting)


def test_the_counter_hears_once_and_of_the_later_day(
    run_in_threads: RunInThreads, small_shop: SmallShop, clerk: Clerk, side_by_side: Callable[[], None]
) -> None:
    small_shop.put(small_shop.pump, 2, ["N3", "N4"])
    buy(small_shop, clerk, pulley=1, bolt=6)
    quote = quoting.hold(small_shop.counter, small_shop.quote(4))
    lines = PurchaseLine.objects.select_related("order__supplier")
    pulleys, bolts = (lines.get(part=part) for part in (small_shop.pulley, small_shop.bolt))
    buyer = clerk("buying")
    side_by_side()
    got = run_in_threads(
        lambda: slipping.slip(buyer, pulleys, in_days(9), "a strike"),
        lambda: slipping.slip(buyer, bolts, in_days(20), "lost at sea"),
    )
    assert [one for one in got if isinstance(one, Exception)] == []
    assert f"now expected {in_days(20):%-d %b}" in Notice.objects.get(quote=quote).text
