"""Who gets what when: refused conversions, two counters at once, lapsed holds, orders that wait."""

from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.utils import timezone

from inventory import buying, reserving
from inventory.models import Alert, PurchaseOrder, Reservation, Stock
from inventory.promising import free
from kits import customising
from kits.models import CustomKit
from shop import ordering, quoting, receiving
from shop.models import Order, Quote
from tests.clerks import Clerk
from tests.job import scenario
from tests.job.conftest import OpenKit, QuoteKits

pytestmark = pytest.mark.main_job

LAST_ONE = "tarrowby TL/6-300"  # one on the shelf, none to come; Sowerbeck takes 28 days
SOWERBECK_DAYS = 28


def test_a_conversion_that_cannot_be_is_refused_with_what_to_do_instead(
    demo: date, clerk: Clerk, open_kit: OpenKit
) -> None:
    with pytest.raises(customising.NotOnThisEngine) as caught:
        open_kit(clerk("counter"), "belt-front", "HED-10")
    assert "no keyway" in caught.value.message
    instead = caught.value.details["instead"]
    assert instead["code"] == "raw-water-aside"
    assert not CustomKit.objects.exists()
    assert open_kit(clerk("counter"), instead["code"], "HED-10").fills.exists()


def test_two_counters_at_once_share_out_the_last_part(
    run_in_threads: Callable[..., list[Any]],
    demo: date,
    clerk: Clerk,
    open_kit: OpenKit,
    quote_kits: QuoteKits,
) -> None:
    first, second = clerk("counter"), User.objects.create_user("the other telephone")
    second.groups.set(first.groups.all())

    def at(counter: User) -> Callable[[], Quote]:
        kit = open_kit(counter, "belt-front", "HED-11", adaptor=LAST_ONE)
        return lambda: quoting.hold(counter, quote_kits(counter, kit))

    got = run_in_threads(at(first), at(second))
    (quote,) = [one for one in got if isinstance(one, Quote)]
    (refused,) = [one for one in got if isinstance(one, reserving.Short)]
    on = (demo + timedelta(days=SOWERBECK_DAYS)).isoformat()
    (line,) = [line for line in refused.details["lines"] if line["number"] == "TL/6-300"]
    assert (line["wanted"], line["free"], line["on"]) == (1, 0, on)
    assert refused.details["on"] == on
    assert Reservation.objects.get() == quote.reservation
    assert Stock.objects.get(part=scenario.part(LAST_ONE)).held == 1


def test_a_lapsed_hold_counts_for_nothing(
    demo: date, clerk: Clerk, open_kit: OpenKit, quote_kits: QuoteKits
) -> None:
    counter, part = clerk("counter"), scenario.part(LAST_ONE)
    early, late = (
        quote_kits(counter, open_kit(counter, "belt-front", "HED-11", adaptor=LAST_ONE)) for _ in range(2)
    )
    early = quoting.hold(counter, early)
    assert free([part.pk], timezone.now()) == {part.pk: 0}
    Reservation.objects.filter(quote=early).update(until=timezone.now() - timedelta(minutes=1))
    assert free([part.pk], timezone.now()) == {part.pk: 1}
    quoting.hold(counter, late)
    order = ordering.accept(counter, early)  # its own hold is gone, and somebody else has the part
    assert (order.state, order.reservation) == (Order.State.WAITING, None)


def test_an_order_that_waits_goes_ahead_when_its_parts_come(
    demo: date, clerk: Clerk, open_kit: OpenKit, quote_kits: QuoteKits
) -> None:
    files = scenario.read()
    counter, buyer, floor = clerk("counter"), clerk("buying"), clerk("floor")
    kits = 1 + max(files.on_hand[name] for name in ("aldwen AW-1800", "ilvane IV.40.30", "ilvane IV.70.30"))
    order = ordering.accept(counter, quote_kits(counter, open_kit(counter, "flexible-drive", "HED-12"), kits))
    assert (order.state, order.reservation) == (Order.State.WAITING, None)

    # Buying is told what is missing, and of how much; the supplier of all three is Vantry.
    alerts = list(Alert.objects.filter(cause=Alert.Cause.ORDER_WAITS, cleared_at=None))
    missing = {scenario.label(alert.part): alert.quantity for alert in alerts}
    assert missing["ilvane IV.40.30"] == kits - files.on_hand["ilvane IV.40.30"]
    assert missing["ilvane IV.70.30"] == kits - files.on_hand["ilvane IV.70.30"]
    assert "ilvane IV.90.B" not in missing  # enough of these are under way
    for purchase in buying.order_from_alerts(buyer, alerts):
        receive_all(floor, buying.send(buyer, purchase), f"D-{purchase.pk}")

    # Now it has all its parts but the coupling elements, which Vantry brings in twelve days.
    order.refresh_from_db()
    assert (order.state, order.expected_on) == (Order.State.WAITING, demo + timedelta(days=12))
    assert order.promised_on == demo + timedelta(days=14)  # as the customer was told: Vantry's usual days
    assert not Alert.objects.filter(cause=Alert.Cause.ORDER_WAITS, cleared_at=None).exists()
    couplings = PurchaseOrder.objects.get(
        lines__part=scenario.part("ilvane IV.90.B"), state=PurchaseOrder.State.SENT
    )
    receive_all(floor, couplings, "D-couplings")
    order.refresh_from_db()
    assert order.state == Order.State.READY


def receive_all(floor: User, purchase: PurchaseOrder, note: str) -> None:
    """All that is to come on the order, every piece of a tracked part under a number of its own."""
    lines = [line for line in purchase.lines.select_related("part") if line.quantity > line.received]
    quantities = {line.pk: line.quantity - line.received for line in lines}
    lots = {
        line.pk: [f"{note}-{line.pk}-{piece}" for piece in range(quantities[line.pk])]
        for line in lines
        if line.part.tracking != "none"
    }
    receiving.receive(floor, purchase, delivery_note=note, quantities=quantities, lots=lots)
