"""A swap on a quote makes another quote, and what is held goes with it whole or not at all."""

from collections.abc import Callable
from typing import Any

import pytest
from django.utils import timezone

from inventory.acting import ActError, Conflict
from inventory.models import Part, Reservation, Stock
from inventory.promising import free
from inventory.reserving import Short
from kits.customising import swap
from kits.models import CustomKit
from shop import ordering, quoting, requoting
from shop.models import Order, Quote
from tests.shop.desks.catalogue import drafting, offer
from tests.shop.small import SmallShop

pytestmark = pytest.mark.main_job


@pytest.fixture
def other(small_shop: SmallShop) -> Part:
    """Another pulley that goes as well: 55.00, one on the shelf."""
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
    small_shop.put(part, 1)
    return part


def swapped(shop: SmallShop, quote: Quote, part: Part) -> Quote:
    kit = quote.kits.first()
    assert kit is not None
    return requoting.swap_on_quote(shop.counter, quote, kit, "pulley", f"parts:{part.pk}")


def kept(part: Part) -> int:
    return Stock.objects.get(part=part).held


def test_the_new_quote_has_the_part_the_price_and_the_terms(small_shop: SmallShop, other: Part) -> None:
    old = small_shop.quote(1, days=7)
    new = swapped(small_shop, old, other)
    old.refresh_from_db()
    assert (old.state, new.replaces) == (Quote.State.REPLACED, old)
    assert (new.customer, new.channel, new.valid_until) == (old.customer, old.channel, old.valid_until)
    assert new.net == old.net + 15
    assert new.kits.get().lines.filter(part=other).exists()
    assert old.kits.get().lines.filter(part=small_shop.pulley).exists()


def test_the_old_quotes_kit_stays_as_it_was_quoted(small_shop: SmallShop, other: Part) -> None:
    old = small_shop.quote()
    new = swapped(small_shop, old, other)
    assert new.kits.get().kit != old.kits.get().kit
    assert requoting.as_quoted(old.kits.get()) and requoting.as_quoted(new.kits.get())


def test_the_hold_passes_over_and_what_is_wanted_no_more_is_free_at_once(
    small_shop: SmallShop, other: Part
) -> None:
    old = quoting.hold(small_shop.counter, small_shop.quote())
    hold = old.reservation
    new = swapped(small_shop, old, other)
    old.refresh_from_db()
    assert hold is not None and (old.reservation, new.reservation) == (None, hold)
    hold.refresh_from_db()
    assert (hold.state, hold.reference) == (Reservation.State.KEPT, new.number)
    assert (kept(small_shop.pulley), kept(other), kept(small_shop.pump)) == (0, 1, 1)


def test_if_the_new_part_is_short_nothing_has_changed(small_shop: SmallShop, other: Part) -> None:
    old = quoting.hold(small_shop.counter, small_shop.quote(2))  # one of the other pulley is there
    kits = CustomKit.objects.count()
    with pytest.raises(Short):
        swapped(small_shop, old, other)
    old.refresh_from_db()
    assert (old.state, Quote.objects.count(), CustomKit.objects.count()) == (Quote.State.OPEN, 1, kits)
    assert (kept(small_shop.pulley), kept(other)) == (2, 0)


def test_the_other_kits_go_over_as_they_were_offered(small_shop: SmallShop, other: Part) -> None:
    kits = [(small_shop.kit(), 1), (small_shop.kit(), 1)]
    old = quoting.quote(small_shop.counter, small_shop.customer, kits)
    Part.objects.filter(pk=small_shop.pump.pk).update(price="130.00")
    new = swapped(small_shop, old, other)
    first, second = new.kits.all()
    assert (first.price, second.price) == (old.kits.all()[0].price + 25, old.kits.all()[1].price)
    assert second.record == old.kits.all()[1].record and second.lines.count() == 3


def test_a_part_let_go_lets_a_waiting_order_go_ahead(small_shop: SmallShop, other: Part) -> None:
    small_shop.put(small_shop.pump, 1, ["N3"])
    small_shop.put(small_shop.bolt, 10)
    quoting.hold(small_shop.counter, small_shop.quote(2))
    last = quoting.hold(small_shop.counter, small_shop.quote(1))
    small_shop.put(small_shop.pump, 1, ["N4"])
    order = ordering.accept(small_shop.counter, small_shop.quote(1))  # wants a fourth pulley
    assert order.state == Order.State.WAITING
    swapped(small_shop, last, other)
    order.refresh_from_db()
    assert order.state == Order.State.READY


def test_a_kit_that_was_swapped_since_is_not_what_was_quoted(small_shop: SmallShop, other: Part) -> None:
    quote = small_shop.quote()
    swap(small_shop.counter, quote.kits.get().kit, "pulley", f"parts:{other.pk}")
    with pytest.raises(Conflict) as caught:
        swapped(small_shop, quote, other)
    assert caught.value.code == "kit-changed"


def test_a_replaced_quote_says_what_replaced_it(small_shop: SmallShop, other: Part) -> None:
    old = small_shop.quote()
    new = swapped(small_shop, old, other)
    with pytest.raises(Conflict, match=new.number) as caught:
        ordering.accept(small_shop.counter, old)
    assert caught.value.code == "replaced"


def test_a_quote_has_only_its_own_kits(small_shop: SmallShop, other: Part) -> None:
    quote, another = small_shop.quote(), small_shop.quote()
    with pytest.raises(ActError) as caught:
        requoting.swap_on_quote(small_shop.counter, quote, another.kits.get(), "pulley", f"parts:{other.pk}")
    assert caught.value.code == "no-such-kit"


def test_a_swap_and_a_hold_of_the_wanted_part_at_once_share_it_out(
    run_in_threads: Callable[..., list[Any]], small_shop: SmallShop, other: Part
) -> None:
    """The only wide pulley: the swap gets it and the hold is short, or the other way round."""
    quote = quoting.hold(small_shop.counter, small_shop.quote())
    rival = swapped(small_shop, small_shop.quote(), other)
    got = run_in_threads(
        lambda: swapped(small_shop, quote, other), lambda: quoting.hold(small_shop.counter, rival)
    )
    assert sum(isinstance(one, Short) for one in got) == 1
    assert sum(isinstance(one, Quote) for one in got) == 1
    assert (kept(other), free([other.pk], timezone.now())[other.pk]) == (1, 0)
    # Whichever was short keeps what it had: the quote its narrow pulley, the rival nothing.
    assert kept(small_shop.pulley) == (1 if isinstance(got[0], Short) else 0)
    assert kept(small_shop.pump) == (1 if isinstance(got[0], Quote) else 2)


def test_a_swap_and_a_hold_of_the_part_let_go_at_once_lose_nothing(
    run_in_threads: Callable[..., list[Any]], small_shop: SmallShop, other: Part
) -> None:
    """All three narrow pulleys are held; the swap lets one go, in time for the hold or not."""
    small_shop.put(small_shop.pump, 2, ["N3", "N4"])
    small_shop.put(small_shop.bolt, 10)
    quoting.hold(small_shop.counter, small_shop.quote(2))
    quote, rival = quoting.hold(small_shop.counter, small_shop.quote()), small_shop.quote()
    got = run_in_threads(
        lambda: swapped(small_shop, quote, other), lambda: quoting.hold(small_shop.counter, rival)
    )
    assert isinstance(got[0], Quote)
    in_time = isinstance(got[1], Quote)
    assert in_time or isinstance(got[1], Short)
    assert (kept(other), kept(small_shop.pulley)) == (1, 3 if in_time else 2)
