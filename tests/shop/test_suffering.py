"""Who suffers from what buying is warned of: kits, orders and quotes, and when."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from inventory import buying
from inventory.alerting import look_again
from inventory.models import Alert, Category, Demand, Part, PurchaseLine, Target
from kits.models import Candidate, FeatureKind, KitTemplate, PartFeature, TemplateRevision
from kits.using import kits_with
from shop import ordering, quoting
from shop.suffering import sufferers
from tests.clerks import Clerk
from tests.shop.desks.catalogue import drafting
from tests.shop.small import SmallShop

pytestmark = pytest.mark.django_db


def open_of(cause: Alert.Cause) -> list[Alert]:
    return list(Alert.objects.filter(cause=cause, cleared_at=None).order_by("pk"))


def test_orders_that_wait_suffer_from_what_they_are_short_of_and_from_nothing_else(
    small_shop: SmallShop,
) -> None:
    order = ordering.accept(small_shop.counter, small_shop.quote(3))
    for part in (small_shop.pulley, small_shop.bolt):
        Target.objects.create(part=part, reorder_at=20, up_to=40, why="sells")
    look_again(None, timezone.now())
    found = sufferers(Alert.objects.filter(cleared_at=None))
    by_name = {(one.part.name, one.cause): found[one.pk] for one in Alert.objects.select_related("part")}
    # Three kits want three pulleys, of which there are three.
    assert by_name["pulley", "below target"].orders == ()
    assert by_name["bolt", "below target"].orders == ((order, order.expected_on),)
    assert by_name["bolt", "order waits"].orders == ((order, order.expected_on),)
    assert by_name["pump", "order waits"].orders == ((order, None),)
    assert {one.kits for one in by_name.values()} == {("Belt pump",)}


def test_an_order_that_waits_costs_a_hundredth_of_its_worth_a_day(small_shop: SmallShop) -> None:
    ordering.accept(small_shop.counter, small_shop.quote(3))
    (alert, *_) = open_of(Alert.Cause.ORDER_WAITS)
    assert alert.cost_to_wait == Decimal("4.98")  # Three kits at 166.00.


def late(small_shop: SmallShop, clerk: Clerk) -> PurchaseLine:
    """Bolts for two kits are to come and overdue; one is ordered, one is held for a quote."""
    buyer = clerk("buying")
    small_shop.put(small_shop.pump, 2, ["N3", "N4"])
    draft = buying.write_order(buyer, small_shop.supplier, {small_shop.bolt.pk: 8})
    sent = buying.send(buyer, draft)
    return sent.lines.get()


def test_a_late_delivery_starves_those_who_are_tied_to_it(small_shop: SmallShop, clerk: Clerk) -> None:
    line = late(small_shop, clerk)
    ordering.accept(small_shop.counter, small_shop.quote(2))  # Has its eight bolts.
    order = ordering.accept(small_shop.counter, small_shop.quote(1))
    PurchaseLine.objects.update(due=timezone.localdate() - timedelta(days=2))
    look_again(None, timezone.now())
    (alert,) = open_of(Alert.Cause.LATE_LINE)
    assert alert.purchase_line == line
    suffering = sufferers([alert])[alert.pk]
    order.refresh_from_db()
    assert suffering.orders == ((order, order.expected_on),) and suffering.quotes == ()


def test_a_hold_at_risk_is_one_quotes(small_shop: SmallShop, clerk: Clerk) -> None:
    late(small_shop, clerk)
    ordering.accept(small_shop.counter, small_shop.quote(2))
    quote = quoting.hold(small_shop.counter, small_shop.quote(1))
    PurchaseLine.objects.update(due=timezone.localdate() - timedelta(days=2))
    look_again(None, timezone.now())
    (alert,) = open_of(Alert.Cause.HOLD_AT_RISK)
    suffering = sufferers([alert])[alert.pk]
    assert suffering.quotes == ((quote, timezone.localdate() + timedelta(days=1)),)
    assert suffering.orders == ()


def test_nobody_waits_for_what_lies_here(small_shop: SmallShop) -> None:
    ordering.accept(small_shop.counter, small_shop.quote(3))
    alert = Alert.objects.create(
        part=small_shop.bolt,
        cause=Alert.Cause.DEAD_STOCK,
        reason="10 lie here",
        quantity=0,
        order_by=timezone.localdate(),
    )
    assert sufferers([alert])[alert.pk].orders == ()


def test_kits_of_which_most_went_out_are_named_first(small_shop: SmallShop) -> None:
    with drafting(small_shop.revision):
        other = KitTemplate.objects.create(code="alternator", name="Alternator", purpose="Charges.")
        revision = TemplateRevision.objects.create(template=other, number=1)
        slot = revision.slots.create(code="bolts", name="Bolts", position=1)
        slot.candidates.create(is_default=True).parts.create(part=small_shop.bolt)
    TemplateRevision.objects.update(state="released", released_at=timezone.now())
    alert = Alert(pk=1, part=small_shop.bolt, cause=Alert.Cause.BELOW_TARGET)
    assert sufferers([alert])[1].kits == ("Alternator", "Belt pump")
    Demand.objects.create(
        part=small_shop.bolt,
        day=timezone.localdate(),
        quantity=4,
        kind=Demand.Kind.KIT,
        kit="belt-pump",
        kits=1,
        reference="S1/1",
    )
    assert sufferers([alert])[1].kits == ("Belt pump", "Alternator")


def test_a_part_goes_into_kits_that_select_it_by_its_feature(small_shop: SmallShop) -> None:
    category = Category.objects.create(code="belts", name="Belts")
    kind = FeatureKind.objects.create(code="belt-length", name="belt length", quantity="length")
    fits, long, unknown = (
        Part.objects.create(
            maker=small_shop.bolt.maker, number=f"OR-9{n}", name="belt", category=category, price=Decimal(9)
        )
        for n in range(3)
    )
    for part, lo in ((fits, 100), (long, 190)):
        PartFeature.objects.create(part=part, kind=kind, lo=lo, hi=lo + 20, source="maker")
    with drafting(small_shop.revision):
        slot = small_shop.revision.slots.create(code="belt", name="Belt", position=9)
        Candidate.objects.create(slot=slot, category=category, feature=kind, lo=90, hi=200)
    found = kits_with([fits.pk, long.pk, unknown.pk])
    assert found == {fits.pk: {small_shop.template}, unknown.pk: {small_shop.template}}


def test_many_alerts_ask_as_often_as_one(small_shop: SmallShop, clerk: Clerk) -> None:
    late(small_shop, clerk)
    for kits in (2, 1, 3):
        ordering.accept(small_shop.counter, small_shop.quote(kits))
    PurchaseLine.objects.update(due=timezone.localdate() - timedelta(days=2))
    look_again(None, timezone.now())
    alerts = list(Alert.objects.filter(cleared_at=None))
    assert len(alerts) > 2
    counts = []
    for some in (alerts, alerts * 20):
        with CaptureQueriesContext(connection) as queries:
            sufferers(some)
        counts.append(len(queries))
    assert counts[0] == counts[1] <= 14
    assert sufferers([]) == {}
