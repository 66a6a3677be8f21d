"""Money that lies dead, and money that a larger lot would save."""

from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.utils import timezone

from inventory.alerting import look_again
from inventory.deliveries import receive
from inventory.models import Alert, Demand, MonthlyDemand, Part, PriceBreak, Stock, Target
from inventory.reserving import commit
from tests.clerks import Clerk
from tests.inventory.builders import a_part, an_offer, inbound, put, the_dock, today
from tests.inventory.test_alerting_causes import month, of, sells, watched

pytestmark = [pytest.mark.django_db, pytest.mark.main_job]

Cause = Alert.Cause


def lying(pieces: int = 10, worth: str = "73.00") -> Part:
    """Stock of a shop whose records reach back for years."""
    other = a_part()
    MonthlyDemand.objects.get_or_create(part=other, month=month(30), quantity=3)
    part = put(a_part(), pieces)
    Stock.objects.filter(part=part).update(value=Decimal(worth))
    return part


def test_what_nobody_asked_for_in_a_year_is_dead_and_costs_its_holding() -> None:
    ring = lying()
    alert = of(Cause.DEAD_STOCK, ring)
    assert alert is not None
    assert alert.reason.startswith("10 lie here, worth 73.00, and nobody asked for any in the last 12 months")
    assert (alert.quantity, alert.supplier, alert.hits_on) == (0, None, None)
    assert alert.cost_to_wait == Decimal("0.04")  # A fifth of 73.00 a year.
    assert of(Cause.DEAD_STOCK, ring) == alert
    Demand.objects.create(part=ring, day=today(), quantity=1, kind=Demand.Kind.LOST)
    assert of(Cause.DEAD_STOCK, ring) is None


def test_a_shorter_patience_finds_more(settings: Any) -> None:
    ring = lying()
    MonthlyDemand.objects.create(part=ring, month=month(8), quantity=1)
    assert of(Cause.DEAD_STOCK, ring) is None
    settings.SHOP_DEAD_MONTHS = 6
    assert of(Cause.DEAD_STOCK, ring) is not None


@pytest.mark.parametrize(("pieces", "worth"), [(10, "49.99"), (0, "0")])
def test_what_is_worth_little_is_not_dead(pieces: int, worth: str) -> None:
    ring = lying()
    Stock.objects.filter(part=ring).update(on_hand=pieces, value=Decimal(worth))
    assert of(Cause.DEAD_STOCK, ring) is None


def test_where_everything_may_be_dead_an_empty_shelf_is_not(settings: Any) -> None:
    settings.SHOP_DEAD_VALUE = Decimal(0)
    Stock.objects.create(part=(ring := a_part()))
    assert look_again([ring.pk], timezone.now()) == []


def test_what_its_target_needs_is_not_dead_and_what_is_beyond_it_is() -> None:
    ring = lying(10, "200.00")
    target = Target.objects.create(part=ring, reorder_at=1, up_to=8, why="for the day it is needed")
    assert of(Cause.DEAD_STOCK, ring) is None  # Two pieces beyond are worth 40.00.
    Target.objects.filter(pk=target.pk).update(up_to=6)
    alert = of(Cause.DEAD_STOCK, ring)
    assert alert is not None and alert.reason.startswith("4 lie here, worth 80.00")


def test_what_is_kept_for_somebody_is_not_dead(clerk: Clerk) -> None:
    ring = lying()
    commit(clerk("counter"), {ring.pk: 10}, reference="S00001")
    assert of(Cause.DEAD_STOCK, ring) is None


def test_what_came_lately_had_no_time_to_be_asked_for(clerk: Clerk) -> None:
    the_dock()
    ring = lying()
    line = inbound(ring, 1)
    assert of(Cause.DEAD_STOCK, ring) is not None
    receive(clerk("floor"), line.order, delivery_note="DN 1", quantities={line.pk: 1})
    assert of(Cause.DEAD_STOCK, ring) is None


def test_a_shop_that_only_began_knows_of_nothing_dead() -> None:
    ring = lying()
    MonthlyDemand.objects.update(month=month(11))
    assert of(Cause.DEAD_STOCK, ring) is None


def to_break(at_least: int = 48, price: str = "6.00", *, have: int = 5, most: int | None = None) -> Part:
    ring = watched(have, most=most)
    offer = an_offer(ring, price="8.00", pack=6, lead_days=7)
    PriceBreak.objects.create(offer=offer, at_least=at_least, price=Decimal(price))
    sells(ring, 120)
    return ring


def test_more_at_once_is_told_when_it_saves_more_than_it_costs_to_keep() -> None:
    ring = to_break()
    alert = of(Cause.PRICE_BREAK, ring)
    assert alert is not None and alert.quantity == 48
    # 48 pieces last 146 days: 96.00 and two orders of 15.00 more at 18 a time, with two thirds of an order;
    # 25.00 is the third of those, and (24 x 6 - 9 x 8) a fifth a year is kept on top.
    saved = Decimal("96.00") + Decimal(15) * (Decimal(48) / 18 - 1) - (144 - 72) * Decimal("0.2") * 146 / 365
    assert f"over the 146 days that they last this saves {saved:.2f}" in alert.reason
    assert "48 at once cost 6.00 each instead of 8.00 for 18" in alert.reason
    assert alert.cost_to_wait == round(saved / 146, 2)
    put(ring, 30)
    assert of(Cause.PRICE_BREAK, ring) is None


def test_what_lasts_too_long_or_finds_no_room_is_not_offered() -> None:
    assert of(Cause.PRICE_BREAK, to_break(at_least=150)) is None
    assert of(Cause.PRICE_BREAK, to_break(most=50)) is None
    assert of(Cause.PRICE_BREAK, to_break(most=53)) is not None


def test_a_break_is_told_nearly_when_the_part_is_ordered_and_not_long_before() -> None:
    near, far = to_break(have=9), to_break(have=10)
    assert of(Cause.PRICE_BREAK, near) is not None
    assert of(Cause.PRICE_BREAK, far) is None


def test_a_break_that_is_reached_anyway_is_no_news() -> None:
    assert of(Cause.PRICE_BREAK, to_break(at_least=12)) is None


def test_a_day_that_has_come_does_not_move_on_with_the_calendar() -> None:
    ring = watched(0)
    an_offer(ring)
    (first,) = look_again([ring.pk], timezone.now())
    (later,) = look_again([ring.pk], timezone.now() + timedelta(days=3))
    assert (later.pk, later.order_by, later.updated_at) == (first.pk, first.order_by, first.updated_at)
