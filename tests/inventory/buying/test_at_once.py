"""Two buyers at one order, over two connections."""

from collections.abc import Callable
from contextlib import suppress
from datetime import timedelta
from typing import Any

import pytest
from django.core.management import call_command
from django.utils import timezone

from inventory.acting import ActError, Conflict
from inventory.alerting import look_again
from inventory.buying import (
    add_line,
    approve,
    change_line,
    close_short,
    discard,
    draft_suggested,
    receive,
    remind,
    send,
    settle,
    take_back,
    write_order,
)
from inventory.differences import report
from inventory.models import PurchaseLine, PurchaseOrder, Reminder, Target
from inventory.reserving import commit
from inventory.suggesting import suggestions
from tests.clerks import Clerk
from tests.inventory.builders import a_part, an_offer, inbound, stock_of, the_dock

Threads = Callable[..., list[Any]]

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.main_job]


def an_order(clerk: Clerk, quantity: int = 4) -> PurchaseOrder:
    offer = an_offer(a_part())
    return write_order(clerk("buying"), offer.supplier, {offer.part_id: quantity})


def refused(results: list[Any]) -> list[Any]:
    unexpected = [one for one in results if isinstance(one, Exception) and not isinstance(one, ActError)]
    assert unexpected == []
    return [one for one in results if isinstance(one, ActError)]


def state_of(order: PurchaseOrder) -> str:
    return PurchaseOrder.objects.get(pk=order.pk).state


def test_one_of_two_sends_it(run_in_threads: Threads, clerk: Clerk) -> None:
    buyer, order = clerk("buying"), an_order(clerk)
    results = run_in_threads(*[lambda: send(buyer, order)] * 2)
    (second,) = refused(results)
    assert isinstance(second, Conflict) and state_of(order) == "sent"


def test_one_of_two_approves_it(run_in_threads: Threads, clerk: Clerk) -> None:
    buyer, orders = clerk("buying"), [an_order(clerk), an_order(clerk)]
    results = run_in_threads(lambda: approve(buyer, orders), lambda: approve(buyer, orders[::-1]))
    assert len(refused(results)) == 1 and {state_of(order) for order in orders} == {"approved"}


@pytest.mark.parametrize("act", ["change", "add", "drop", "discard", "take back"])
def test_what_is_sent_is_what_was_approved(run_in_threads: Threads, clerk: Clerk, act: str) -> None:
    """Sent first, the change is refused; changed first, the draft is sent as it is then, or is gone."""
    buyer, order = clerk("buying"), an_order(clerk)
    approve(buyer, [order])
    line, other = order.lines.get(), an_offer(a_part(), order.supplier)
    changes: dict[str, Callable[[], object]] = {
        "change": lambda: change_line(buyer, line, 9),
        "add": lambda: add_line(buyer, order, other.part, 2),
        "drop": lambda: change_line(buyer, line, 0),
        "discard": lambda: discard(buyer, order),
        "take back": lambda: take_back(buyer, order),
    }
    results = run_in_threads(lambda: send(buyer, order), changes[act])
    lost = refused(results)
    left = PurchaseOrder.objects.filter(pk=order.pk).first()
    if left is not None and left.state == "sent":
        for one in left.lines.all():
            assert one.ordered == one.quantity and one.first_due is not None
        assert left.lines.exists() and left.approved_by == buyer
    else:
        assert len(lost) == 1 and act in {"drop", "discard", "add"}


def test_two_who_change_one_line_leave_one_of_the_two(run_in_threads: Threads, clerk: Clerk) -> None:
    buyer, order = clerk("buying"), an_order(clerk)
    line = order.lines.get()
    results = run_in_threads(lambda: change_line(buyer, line, 7), lambda: change_line(buyer, line, 0))
    assert len(refused(results)) <= 1
    assert list(order.lines.values_list("quantity", flat=True)) == []


def test_two_who_add_one_part_add_it_once(run_in_threads: Threads, clerk: Clerk) -> None:
    buyer, order = clerk("buying"), an_order(clerk)
    other = an_offer(a_part(), order.supplier)
    results = run_in_threads(*[lambda: add_line(buyer, order, other.part, 2)] * 2)
    (second,) = refused(results)
    assert second.code == "ordered-already" and order.lines.get(part=other.part).quantity == 2


def test_two_who_take_one_suggestion_up_order_it_once(run_in_threads: Threads, clerk: Clerk) -> None:
    buyer, part = clerk("buying"), a_part()
    an_offer(part)
    Target.objects.create(part=part, reorder_at=1, up_to=10, why="test")
    look_again(None, timezone.now())
    (one,) = suggestions(timezone.now())
    results = run_in_threads(*[lambda: draft_suggested(buyer, one.supplier, {part.pk: 10})] * 3)
    assert refused(results) == []
    assert PurchaseLine.objects.get().quantity == 10 and PurchaseOrder.objects.count() == 1


def test_one_of_two_asks_for_it_today(run_in_threads: Threads, clerk: Clerk) -> None:
    buyer, line = clerk("buying"), inbound(a_part(), 2, in_days=-3)
    results = run_in_threads(*[lambda: remind(buyer, [line], "where is it?")] * 2)
    assert [one.code for one in refused(results)] == ["asked-today"] and Reminder.objects.count() == 1


def test_one_of_two_settles_it(run_in_threads: Threads, clerk: Clerk) -> None:
    buyer = clerk("buying")
    difference = report(buyer, inbound(a_part(), 2), 1, "another bore")
    results = run_in_threads(
        lambda: settle(buyer, difference, "credit"), lambda: settle(buyer, difference, "sent")
    )
    assert len(refused(results)) == 1


def test_a_delivery_and_the_word_that_none_will_come(run_in_threads: Threads, clerk: Clerk) -> None:
    """Received first, only the rest is taken off; taken off first, the delivery is more than is asked for."""
    the_dock()
    buyer, floor = clerk("buying"), clerk("floor")
    line = inbound(a_part(), 5)
    results = run_in_threads(
        lambda: receive(floor, line.order, delivery_note="D1", quantities={line.pk: 3}),
        lambda: close_short(buyer, line, "lost at sea"),
    )
    lost = refused(results)
    line.refresh_from_db()
    assert line.quantity == line.received == (0 if lost else 3)
    assert state_of(line.order) == "closed"
    call_command("check_ledger")


def test_somebody_reserves_while_it_is_closed_short(run_in_threads: Threads, clerk: Clerk) -> None:
    the_dock()
    buyer, counter = clerk("buying"), clerk("counter")
    part = a_part()
    line = inbound(part, 5)
    results = run_in_threads(
        lambda: commit(counter, {part.pk: 3}, reference="S1"),
        lambda: close_short(buyer, line, "lost at sea"),
    )
    assert len(refused(results)) <= 1
    line.refresh_from_db()
    assert (line.quantity, line.reserved) == (0, 0) or isinstance(results[1], Conflict)
    assert stock_of(part) == (0, 0, 0)
    call_command("check_ledger")


def test_many_hands_at_a_few_orders_break_nothing(run_in_threads: Threads, clerk: Clerk) -> None:
    buyer, order = clerk("buying"), an_order(clerk)
    offers = [an_offer(a_part(), order.supplier) for _ in range(3)]

    def edit() -> None:
        for offer in offers:
            with suppress(ActError):
                add_line(buyer, order, offer.part, 1)

    def stand() -> None:
        for _ in range(3):
            with suppress(ActError):
                approve(buyer, [order])
                take_back(buyer, order)

    assert [one for one in run_in_threads(edit, stand, edit) if one is not None] == []
    assert order.lines.count() == 4
    fresh = PurchaseOrder.objects.get(pk=order.pk)
    assert (fresh.state == "approved") == (fresh.approved_by is not None)
    assert fresh.send_by is None or fresh.send_by <= timezone.localdate() + timedelta(days=365)


def test_the_last_two_lines_closed_short_at_once_close_the_order(
    run_in_threads: Threads, clerk: Clerk
) -> None:
    buyer, line = clerk("buying"), inbound(a_part(), 5)
    other = line.order.lines.create(part=a_part(), quantity=3, price=8, due=line.due)
    both = (line, other)
    results = run_in_threads(*[lambda one=one: close_short(buyer, one, "sold out") for one in both])
    assert refused(results) == [] and state_of(line.order) == "closed"


def test_the_rest_received_while_a_line_is_closed_short_closes_the_order(
    run_in_threads: Threads, clerk: Clerk
) -> None:
    the_dock()
    buyer, floor, line = clerk("buying"), clerk("floor"), inbound(a_part(), 5)
    order = line.order
    other = order.lines.create(part=a_part(), quantity=3, price=8, due=line.due)
    results = run_in_threads(
        lambda: close_short(buyer, line, "sold out"),
        lambda: receive(floor, order, delivery_note="DN-1", quantities={other.pk: 3}),
    )
    assert refused(results) == [] and state_of(order) == "closed"
