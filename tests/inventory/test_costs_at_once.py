"""Costs and made-up kits while others work on the same part, over two connections."""

from collections import Counter
from collections.abc import Callable
from datetime import datetime, timedelta
from decimal import Decimal
from threading import Event
from typing import Any

import pytest
from django.core.management import call_command
from django.db import transaction
from django.utils import timezone

from inventory.assembling import make_up
from inventory.counting import scrap
from inventory.deliveries import receive
from inventory.late_charges import charge_late
from inventory.ledger import lock_stock, move, outside
from inventory.models import LateCharge, Makeup, Movement, Part, Place, Stock
from inventory.reserving import hold
from inventory.valuing import value_at
from tests.clerks import Clerk
from tests.inventory.builders import a_bin, a_part, inbound, put, stock_of, the_dock
from tests.inventory.costs import buy, sell, worth

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.main_job]

Threads = Callable[..., list[Any]]


def kinds(results: list[Any]) -> Counter[str]:
    return Counter(type(result).__name__ for result in results)


def test_making_up_and_a_hold_of_the_same_component(run_in_threads: Threads, clerk: Clerk) -> None:
    """Whoever comes second is told; the last ring is never both in a kit and held."""
    ring, kit = put(a_part(), 1), a_part()
    Makeup.objects.create(part=kit, component=ring, quantity=1)
    counter, floor, until = clerk("counter"), clerk("floor"), timezone.now() + timedelta(hours=1)
    results = run_in_threads(
        lambda: make_up(floor, kit, 1, a_bin(5)),
        lambda: hold(counter, {ring.pk: 1}, until=until, reference="Q1"),
    )
    told = kinds(results)
    assert told in (Counter({"list": 1, "Short": 1}), Counter({"Conflict": 1, "Reservation": 1}))
    assert stock_of(ring) == ((0, 0, 0) if "list" in told else (1, 1, 0))
    call_command("check_ledger")


def test_two_who_make_up_of_the_last_components(run_in_threads: Threads, clerk: Clerk) -> None:
    ring, bolt, floor = put(a_part(), 1), put(a_part(), 1), clerk("floor")
    kits = [a_part(), a_part()]
    for kit, components in zip(kits, ([ring, bolt], [bolt, ring]), strict=True):
        for component in components:
            Makeup.objects.create(part=kit, component=component, quantity=1)
    results = run_in_threads(*[lambda kit=kit: make_up(floor, kit, 1, a_bin(5)) for kit in kits])
    assert kinds(results) == {"list": 1, "Conflict": 1}
    call_command("check_ledger")


def test_a_late_charge_and_a_shipment_of_the_same_pieces(run_in_threads: Threads, clerk: Clerk) -> None:
    """Before the shipment what is here bears all of it, after it the half: nothing is lost or doubled."""
    the_dock()
    buyer, line = clerk("buying"), inbound(a_part(home=a_bin()), 4)
    receipt = receive(buyer, line.order, delivery_note="DN-1", quantities={line.pk: 4})
    run_in_threads(
        lambda: charge_late(buyer, receipt, Decimal("10.00"), "freight"), lambda: sell(line.part, 2)
    )
    charge, shipped = LateCharge.objects.get(), Movement.objects.get(act="ship")
    assert charge.absorbed + charge.spent == 10
    assert (charge.absorbed, shipped.value) in ((Decimal(10), Decimal(21)), (Decimal(5), Decimal(16)))
    assert worth(line.part) == Decimal(32) + charge.absorbed - shipped.value
    call_command("check_ledger")


def test_many_who_take_pieces_leave_no_value_behind(run_in_threads: Threads, clerk: Clerk) -> None:
    floor, ring = clerk("floor"), a_part()
    put(ring, 7)
    Stock.objects.filter(part=ring).update(value=Decimal("10.0000"))
    run_in_threads(*[lambda: scrap(floor, ring, a_bin(), 1, "bent")] * 7)
    gone = Movement.objects.filter(act="scrap").values_list("value", flat=True)
    assert sum(gone) == 10 and worth(ring) == 0


def test_who_began_first_and_waited_comes_after_in_time_too(run_in_threads: Threads, clerk: Clerk) -> None:
    """What the stock was worth at any moment is then the same in order of time as in that of the ledger."""
    ring = a_part()
    put(ring, 1)
    began, floor, bought = timezone.now(), clerk("floor"), Event()

    def quick() -> None:
        buy(ring, 3, "12.00")
        bought.set()

    def slow() -> None:
        at = timezone.now()
        assert bought.wait(20)
        with transaction.atomic():
            lock_stock([ring.pk])
            move(act=Movement.Act.SHIP, part=ring, quantity=2, origin=a_bin(), at=at, by=floor,
                 destination=outside(Place.Kind.CUSTOMER))  # fmt: skip

    assert run_in_threads(slow, quick) == [None, None]
    assert_in_order_of_time(ring, began)


def test_a_movement_comes_no_sooner_than_a_charge_that_was_there_before_it(clerk: Clerk) -> None:
    the_dock()
    buyer, line = clerk("buying"), inbound(a_part(home=a_bin()), 4)
    receipt = receive(buyer, line.order, delivery_note="DN-1", quantities={line.pk: 4})
    began = timezone.now()
    [charge] = charge_late(buyer, receipt, Decimal("10.00"), "freight")
    with transaction.atomic():
        lock_stock([line.part_id])
        shipped = move(act=Movement.Act.SHIP, part=line.part, quantity=2, origin=a_bin(), at=began, by=buyer,
                       destination=outside(Place.Kind.CUSTOMER))  # fmt: skip
    assert shipped.at == charge.at


def test_many_at_once_leave_a_history_in_order_of_time(run_in_threads: Threads, clerk: Clerk) -> None:
    ring, floor = put(a_part(), 12), clerk("floor")
    began = timezone.now()
    run_in_threads(*[lambda: scrap(floor, ring, a_bin(), 1, "bent"), lambda: buy(ring, 2, "7.00")] * 4)
    assert_in_order_of_time(ring, began)


def assert_in_order_of_time(part: Part, since: datetime) -> None:
    """The ledger's own order is that of its times, and the value at each of them agrees with it."""
    rows = list(Movement.objects.filter(part=part).order_by("pk"))
    assert [row.at for row in rows] == sorted(row.at for row in rows)
    inside = Place.INSIDE
    value = Decimal(0)
    for row, after in zip(rows, [*rows[1:], None], strict=True):
        value += row.value * ((row.destination.kind in inside) - (row.origin.kind in inside))
        if row.at >= since and (after is None or after.at > row.at):
            assert [one.value for one in value_at(row.at, [part.pk])] == [value]
    assert worth(part) == value
