"""A quote that the customer did not take: closed with its reason, and what was missing is demand."""

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.utils import timezone

from inventory.acting import Conflict
from inventory.demand import kits_sold
from inventory.models import AuditEntry, Demand, Offer, Reservation, Stock
from shop import ordering, quoting
from shop.cancelling import cancel
from shop.losing import Lost, lose
from shop.models import Order, Quote
from shop.sooner import quote_promise
from tests.clerks import Clerk
from tests.shop.small import SmallShop
from tests.shop.test_floor import picked, refused

pytestmark = pytest.mark.main_job

NOT_IN_TIME, TOO_DEAR, OTHER = Quote.LostFor.NOT_IN_TIME, Quote.LostFor.TOO_DEAR, Quote.LostFor.OTHER


def missed() -> list[tuple[str, int, str, int, str]]:
    rows = Demand.objects.filter(kind="lost").order_by("part__number")
    return list(rows.values_list("part__number", "quantity", "kit", "kits", "reference"))


def wanted_in(shop: SmallShop, days: int, quantity: int) -> Quote:
    day = timezone.localdate() + timedelta(days=days)
    return quoting.quote(shop.counter, shop.customer, [(shop.kit(), quantity)], wanted_on=day)


def test_a_lost_quote_says_why_and_lets_its_parts_go(small_shop: SmallShop) -> None:
    quote = quoting.hold(small_shop.counter, small_shop.quote())
    lost = lose(small_shop.counter, quote, TOO_DEAR, " a friend has one ").quote
    assert (lost.state, lost.lost_why, lost.lost_note) == ("lost", "too dear", "a friend has one")
    assert Reservation.objects.get().state == Reservation.State.RELEASED
    assert set(Stock.objects.values_list("held", flat=True)) == {0}
    assert missed() == []
    assert AuditEntry.objects.get(act="losing.lose").detail["why"] == "too dear"


def test_just_what_could_not_be_had_by_the_day_is_written_down_as_missed(small_shop: SmallShop) -> None:
    """For three kits there are pulleys, but only two pumps and ten of twelve bolts."""
    quote = small_shop.quote(3)
    done = lose(small_shop.counter, quote, NOT_IN_TIME)
    assert [line.part.number for line in done.missed] == ["OR-7P", "OR-8B"]
    assert missed() == [
        ("OR-7P", 3, "belt-pump", 3, f"{quote}/1"),
        ("OR-8B", 12, "belt-pump", 3, f"{quote}/1"),
    ]
    (kit,) = kits_sold(timezone.localdate() + timedelta(days=1))
    assert (kit.kit, kit.reference, kit.kits, kit.lost) == ("belt-pump", f"{quote}/1", 3, True)
    assert kit.parts == {small_shop.pump.pk: 3, small_shop.bolt.pk: 12}


def test_what_can_be_bought_by_the_day_that_it_is_wanted_was_not_missed(small_shop: SmallShop) -> None:
    """Bolts take five days; nobody sells pumps."""
    lose(small_shop.counter, wanted_in(small_shop, 5, 3), NOT_IN_TIME)
    assert [number for number, *_ in missed()] == ["OR-7P"]
    lose(small_shop.counter, wanted_in(small_shop, 4, 3), NOT_IN_TIME)
    assert [number for number, *_ in missed()] == ["OR-7P", "OR-7P", "OR-8B"]


def test_what_the_quote_itself_holds_was_to_be_had(small_shop: SmallShop) -> None:
    held = quoting.hold(small_shop.counter, small_shop.quote(2))
    other = small_shop.quote(2)
    lose(small_shop.counter, held, NOT_IN_TIME)
    assert missed() == []
    quoting.hold(small_shop.counter, small_shop.quote(2))
    lose(small_shop.counter, other, NOT_IN_TIME)
    assert [number for number, *_ in missed()] == ["OR-40", "OR-7P", "OR-8B"]


def test_who_waits_already_comes_first(small_shop: SmallShop) -> None:
    """Three pulleys are here, and an order waits that takes them all: so the quote was told."""
    Offer.objects.create(supplier=small_shop.supplier, part=small_shop.pump, price=9)
    order = ordering.accept(small_shop.counter, small_shop.quote(3))
    quote = wanted_in(small_shop, 4, 3)
    told = {part.number for part, line in quote_promise(quote, timezone.now()).lines if line.free < 3}
    lose(small_shop.counter, quote, NOT_IN_TIME)
    assert [number for number, *_ in missed()] == ["OR-40", "OR-7P", "OR-8B"] == sorted(told)
    cancel(small_shop.counter, order, "went elsewhere", not_in_time=True)
    assert [row[0] for row in missed() if row[-1] == f"{order}/1"] == ["OR-7P", "OR-8B"]


def test_the_kits_of_a_quote_are_told_apart(small_shop: SmallShop) -> None:
    kits = [(small_shop.kit(), 2), (small_shop.kit(), 1)]
    quote = quoting.quote(small_shop.counter, small_shop.customer, kits)
    lose(small_shop.counter, quote, NOT_IN_TIME)
    pumps = [row for row in missed() if row[0] == "OR-7P"]
    assert sorted(pumps) == [
        ("OR-7P", 1, "belt-pump", 1, f"{quote}/2"),
        ("OR-7P", 2, "belt-pump", 2, f"{quote}/1"),
    ]


def test_a_waiting_order_gets_what_a_lost_quote_held(small_shop: SmallShop) -> None:
    quote = quoting.hold(small_shop.counter, small_shop.quote(2))
    order = ordering.accept(small_shop.counter, small_shop.quote(2))
    assert order.state == Order.State.WAITING
    lose(small_shop.counter, quote, OTHER, "sold the boat")
    order.refresh_from_db()
    assert order.state == Order.State.READY


def test_a_quote_that_has_lapsed_may_still_be_lost(small_shop: SmallShop) -> None:
    quote = small_shop.quote()
    Quote.objects.update(valid_until=timezone.now() - timedelta(days=1))
    assert lose(small_shop.counter, quote, TOO_DEAR).quote.state == Quote.State.LOST


@pytest.mark.parametrize(
    ("why", "note", "code"),
    [("weather", "", "unknown-reason"), ("", "", "unknown-reason"), (OTHER, " ", "reason-needed")],
)
def test_a_reason_that_says_nothing_is_refused(small_shop: SmallShop, why: str, note: str, code: str) -> None:
    quote = small_shop.quote()
    assert refused(lose, small_shop.counter, quote, why, note).code == code
    quote.refresh_from_db()
    assert quote.state == Quote.State.OPEN


def test_nothing_can_be_done_with_a_lost_quote(small_shop: SmallShop) -> None:
    quote = lose(small_shop.counter, small_shop.quote(), TOO_DEAR).quote
    for act in (quoting.hold, quoting.withdraw, ordering.accept):
        assert refused(act, small_shop.counter, quote).code == "lost"
    assert refused(lose, small_shop.counter, quote, TOO_DEAR).code == "lost"


def test_an_order_that_could_not_come_in_time_leaves_what_was_missing(small_shop: SmallShop) -> None:
    order = ordering.accept(small_shop.counter, small_shop.quote(3))
    done = cancel(small_shop.counter, order, "went elsewhere", not_in_time=True)
    assert len(done.missed) == 2
    assert missed() == [
        ("OR-7P", 3, "belt-pump", 3, f"{order}/1"),
        ("OR-8B", 12, "belt-pump", 3, f"{order}/1"),
    ]


def test_an_order_cancelled_for_another_reason_leaves_nothing(small_shop: SmallShop) -> None:
    order = ordering.accept(small_shop.counter, small_shop.quote(3))
    assert cancel(small_shop.counter, order, "the boat was sold").missed == ()
    assert not Demand.objects.exists()


def test_only_an_order_that_waits_can_have_come_too_late(small_shop: SmallShop, clerk: Clerk) -> None:
    order = picked(small_shop, clerk)
    assert refused(cancel, small_shop.counter, order, "late", not_in_time=True).code == "nothing-awaited"
    order.refresh_from_db()
    assert order.state == Order.State.PICKED


def test_a_quote_lost_by_two_at_once_is_missed_once(
    run_in_threads: Callable[..., list[Any]], small_shop: SmallShop
) -> None:
    quote = small_shop.quote(3)

    def one() -> Any:
        return lose(small_shop.counter, quote, NOT_IN_TIME)

    results = run_in_threads(one, one)
    assert sorted(type(result).__name__ for result in results) == [Conflict.__name__, Lost.__name__]
    assert len(missed()) == 2


def test_a_quote_lost_while_it_is_accepted_is_one_or_the_other(
    run_in_threads: Callable[..., list[Any]], small_shop: SmallShop
) -> None:
    quote = quoting.hold(small_shop.counter, small_shop.quote(2))
    lost, order = run_in_threads(
        lambda: lose(small_shop.counter, quote, TOO_DEAR), lambda: ordering.accept(small_shop.counter, quote)
    )
    assert isinstance(lost, Conflict) != isinstance(order, Conflict)
    committed = Stock.objects.get(part=small_shop.pump).committed
    assert committed == (2 if isinstance(order, Order) else 0)
