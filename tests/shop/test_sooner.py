"""When a quote could ship, and what would make it sooner."""

from datetime import date, timedelta

import pytest
from django.utils import timezone

from inventory import buying
from inventory.acting import ActError, Conflict
from inventory.models import Offer, Part, Reservation
from kits.customising import swap
from shop import ordering, quoting
from shop.models import Order, Quote
from shop.sooner import QuotePromise, Rushed, SwappedOn, quote_promise
from tests.clerks import Clerk
from tests.shop.desks.catalogue import drafting, offer
from tests.shop.small import SmallShop
from tests.shop.test_ordering import buy


def in_days(days: int) -> date:
    return timezone.localdate() + timedelta(days=days)


def told(quote: Quote) -> QuotePromise:
    return quote_promise(quote, timezone.now())


@pytest.fixture
def wide(small_shop: SmallShop) -> Part:
    """Another pulley that goes as well: 55.00, five on the shelf."""
    part = Part.objects.create(
        maker=small_shop.pulley.maker,
        number="OR-41",
        name="wide pulley",
        category=small_shop.pulley.category,
        price="55.00",
    )
    with drafting(small_shop.revision):
        offer(part, "pulley", rank=2)
    small_shop.bins[part.pk] = small_shop.bins[small_shop.pulley.pk]
    small_shop.put(part, 5)
    return part


@pytest.fixture
def plenty(small_shop: SmallShop) -> None:
    """Of everything but pulleys, of which there are three."""
    small_shop.put(small_shop.pump, 3, ["N3", "N4", "N5"])
    small_shop.put(small_shop.bolt, 40)


def test_what_is_all_here_ships_today_and_nothing_makes_it_sooner(small_shop: SmallShop) -> None:
    promised = told(small_shop.quote(2))
    assert (promised.on, promised.waits, promised.sooner) == (in_days(0), False, ())
    assert [(part.number, line.wanted, line.free) for part, line in promised.lines] == [
        ("OR-40", 2, 3),
        ("OR-7P", 2, 2),
        ("OR-8B", 8, 10),
    ]


@pytest.mark.usefixtures("plenty")
def test_a_rushed_delivery_makes_it_sooner_and_says_until_when(small_shop: SmallShop, clerk: Clerk) -> None:
    purchase = buy(small_shop, clerk, pulley=1)
    promised = told(small_shop.quote(4))
    assert promised.on == in_days(5)
    [way] = promised.sooner
    [rush] = way.changes
    assert isinstance(rush, Rushed) and rush.line is not None and rush.line.order == purchase
    assert (way.on, way.days, way.by) == (in_days(1), 4, in_days(1))


@pytest.mark.usefixtures("plenty")
def test_a_part_that_goes_as_well_makes_it_sooner(small_shop: SmallShop, wide: Part) -> None:
    Offer.objects.filter(part=small_shop.pulley).delete()
    quote = small_shop.quote(4)
    promised = told(quote)
    assert promised.on is None and promised.waits
    [way] = promised.sooner
    [change] = way.changes
    assert isinstance(change, SwappedOn)
    assert (change.kit, change.stand_in.slot) == (quote.kits.get(), "pulley")
    assert change.stand_in.key == f"parts:{wide.pk}"
    assert (way.on, way.days) == (in_days(0), None)
    assert change.stand_in.price_difference == 15


@pytest.mark.usefixtures("plenty")
def test_a_kit_that_is_another_by_now_offers_no_swap(small_shop: SmallShop, wide: Part) -> None:
    quote = small_shop.quote(4)
    swap(small_shop.counter, quote.kits.get().kit, "pulley", f"parts:{wide.pk}")
    assert not any(isinstance(change, SwappedOn) for way in told(quote).sooner for change in way.changes)


@pytest.mark.usefixtures("plenty")
def test_the_day_is_that_of_the_order_that_is_made_of_it(small_shop: SmallShop, clerk: Clerk) -> None:
    buy(small_shop, clerk, pulley=2)
    for pieces in (2, 3):
        quote = small_shop.quote(pieces)
        promised = told(quote)
        quote = quoting.hold(small_shop.counter, quote)
        assert told(quote).on == promised.on
        assert ordering.accept(small_shop.counter, quote).promised_on == promised.on


@pytest.mark.usefixtures("plenty")
def test_what_the_quote_holds_itself_counts_for_it(small_shop: SmallShop) -> None:
    held = told(quoting.hold(small_shop.counter, small_shop.quote(3)))
    assert held.held and held.on == in_days(0)
    assert held.lines[0][1].free == 3
    assert told(small_shop.quote(1)).on == in_days(5)


def test_shop_work_counts_for_every_kit(small_shop: SmallShop) -> None:
    quote = small_shop.quote(2)
    kit = quote.kits.get()
    kit.record["works"] = [{"minutes": 240}, {"minutes": 10}]
    kit.save()
    assert told(quote).on == in_days(2)


def test_what_is_wanted_later_ships_then_and_leaves_the_shelf_to_others(
    small_shop: SmallShop, clerk: Clerk
) -> None:
    buying.send(
        clerk("buying"),
        buying.write_order(clerk("buying"), small_shop.supplier, {small_shop.pulley.pk: 3}),
    )
    later = quoting.quote(
        small_shop.counter, small_shop.customer, [(small_shop.kit(), 2)], wanted_on=in_days(8)
    )
    assert told(later).on == in_days(8)
    order = ordering.accept(small_shop.counter, later)
    assert (order.state, order.promised_on) == (Order.State.WAITING, in_days(8))
    kept = Reservation.objects.get()
    assert kept.wanted_on == in_days(8)
    assert kept.lines.get(part=small_shop.pulley).purchase_line is not None
    assert told(small_shop.quote(1)).lines[0][1].free == 3


def test_a_day_in_the_past_is_not_wanted(small_shop: SmallShop) -> None:
    with pytest.raises(ActError) as caught:
        quoting.quote(small_shop.counter, small_shop.customer, [(small_shop.kit(), 1)], wanted_on=in_days(-1))
    assert caught.value.code == "wanted-on-is-past"


def test_a_day_that_nobody_means_is_not_wanted(small_shop: SmallShop) -> None:
    with pytest.raises(ActError, match="look at the year") as caught:
        quoting.quote(small_shop.counter, small_shop.customer, [(small_shop.kit(), 1)], wanted_on=date.max)
    assert caught.value.code == "too-far-ahead"


def test_a_hold_ends_later_or_sooner_but_not_after_its_quote(small_shop: SmallShop) -> None:
    quote = quoting.hold(small_shop.counter, small_shop.quote(days=2), hours=4)
    for hours, expected in ((30, 30), (1, 1), (500, 48)):
        quote = quoting.prolong(small_shop.counter, quote, hours=hours)
        assert quote.reservation is not None and quote.reservation.until is not None
        left = quote.reservation.until - timezone.now()
        assert abs(left - timedelta(hours=expected)) < timedelta(minutes=1)
    with pytest.raises(ActError, match="at least one hour"):
        quoting.prolong(small_shop.counter, quote, hours=0)


def test_what_is_not_held_is_not_held_longer(small_shop: SmallShop) -> None:
    with pytest.raises(Conflict) as caught:
        quoting.prolong(small_shop.counter, small_shop.quote(), hours=1)
    assert caught.value.code == "not-held"
