"""Too much, too little, spoilt: what a supplier delivers otherwise than ordered."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.contrib.auth.models import User
from django.core.management import call_command
from django.utils import timezone

from inventory.acting import ActError, Conflict
from inventory.buying import close_short, receive, settle
from inventory.differences import report
from inventory.models import Difference, PurchaseLine, Reservation, Stock
from inventory.reserving import commit, hold
from tests.clerks import Clerk
from tests.inventory.builders import a_bin, a_part, inbound, put, stock_of, the_dock

pytestmark = [pytest.mark.django_db, pytest.mark.main_job]

KIND = Difference.Kind


@pytest.fixture(autouse=True)
def dock() -> None:
    the_dock()


@pytest.fixture
def floor(clerk: Clerk) -> User:
    return clerk("floor")


@pytest.fixture
def buyer(clerk: Clerk) -> User:
    return clerk("buying")


def fresh(line: PurchaseLine) -> PurchaseLine:
    return PurchaseLine.objects.select_related("order").get(pk=line.pk)


def noted(line: PurchaseLine) -> list[tuple[str, int]]:
    return [(one.kind, one.quantity) for one in line.differences.order_by("pk")]


def an_hour() -> timedelta:
    return timedelta(hours=1)


def test_what_is_over_comes_in_where_it_is_kept(floor: User) -> None:
    line = inbound(a_part(home=a_bin()), 5)
    with pytest.raises(ActError, match="say that it is kept") as refused:
        receive(floor, line.order, delivery_note="DN-1", quantities={line.pk: 7})
    assert refused.value.code == "over-delivered" and fresh(line).received == 0
    receive(floor, line.order, delivery_note="DN-1", quantities={line.pk: 7}, keep_over=True)
    now = fresh(line)
    assert (now.quantity, now.received, now.order.state) == (7, 7, "closed")
    assert noted(line) == [(KIND.OVER, 2)] and stock_of(line.part) == (7, 0, 0)
    assert Stock.objects.get(part=line.part).value == 7 * line.price
    call_command("check_ledger")


def test_no_difference_is_noted_for_what_is_as_ordered(floor: User) -> None:
    line = inbound(a_part(), 5)
    receive(floor, line.order, delivery_note="DN-1", quantities={line.pk: 2}, keep_over=True)
    receive(floor, line.order, delivery_note="DN-2", quantities={line.pk: 3}, keep_over=True)
    assert noted(line) == [] and fresh(line).order.state == "closed"


def test_spoilt_pieces_never_come_in_and_stay_owed(floor: User) -> None:
    line = inbound(a_part(), 5)
    receipt = receive(
        floor, line.order, delivery_note="DN-1", quantities={line.pk: 3}, spoilt={line.pk: 2}, remark="wet"
    )
    now = fresh(line)
    assert (now.quantity, now.received, now.order.state) == (5, 3, "sent")
    (difference,) = Difference.objects.all()
    assert (difference.kind, difference.quantity, difference.note) == (KIND.SPOILT, 2, "wet")
    assert difference.receipt == receipt and stock_of(line.part) == (3, 0, 0)
    receive(floor, line.order, delivery_note="DN-2", quantities={line.pk: 2})
    assert fresh(line).order.state == "closed"


def test_a_delivery_of_which_all_is_spoilt_is_booked_once(floor: User) -> None:
    line = inbound(a_part(), 5)
    receive(floor, line.order, delivery_note="DN-1", quantities={}, spoilt={line.pk: 5})
    assert stock_of(line.part) == (0, 0, 0) and fresh(line).received == 0
    with pytest.raises(ActError) as refused:
        receive(floor, line.order, delivery_note="DN-1", quantities={}, spoilt={line.pk: 5})
    assert refused.value.code == "delivery-note-booked"
    with pytest.raises(ActError) as refused:
        receive(floor, line.order, delivery_note="D2", quantities={}, spoilt={line.pk: 1}, charges=Decimal(9))
    assert refused.value.code == "bad-charges"


def test_spoilt_pieces_that_are_not_owed_are_waited_for_no_more(floor: User) -> None:
    line = inbound(a_part(), 5)
    receive(
        floor,
        line.order,
        delivery_note="DN-1",
        quantities={line.pk: 3},
        spoilt={line.pk: 2},
        not_owed=[line.pk],
    )
    now = fresh(line)
    assert (now.quantity, now.received, now.order.state) == (3, 3, "closed")


def test_more_spoilt_than_is_owed_takes_off_no_more_than_is_owed(floor: User) -> None:
    line = inbound(a_part(), 5)
    receive(
        floor,
        line.order,
        delivery_note="DN-1",
        quantities={line.pk: 4},
        spoilt={line.pk: 4},
        not_owed=[line.pk],
    )
    assert (fresh(line).quantity, noted(line)) == (4, [(KIND.SPOILT, 4)])


def test_landed_cost_falls_on_what_came_in_alone(floor: User) -> None:
    line = inbound(a_part(), 5)
    receive(
        floor,
        line.order,
        delivery_note="DN-1",
        quantities={line.pk: 3},
        spoilt={line.pk: 2},
        charges=Decimal("6.00"),
    )
    assert Stock.objects.get(part=line.part).value == 3 * line.price + 6
    call_command("check_ledger")


def test_an_order_of_which_the_rest_will_not_come_is_closed_short(buyer: User, floor: User) -> None:
    line = inbound(a_part(), 5)
    receive(floor, line.order, delivery_note="DN-1", quantities={line.pk: 2})
    difference = close_short(buyer, line, "Out of their range")
    now = fresh(line)
    assert (now.quantity, now.received, now.order.state) == (2, 2, "closed")
    assert (difference.kind, difference.quantity, difference.note) == (KIND.SHORT, 3, "Out of their range")
    with pytest.raises(Conflict, match="nothing to wait for"):
        close_short(buyer, line, "again")


def test_what_was_ordered_stays_on_the_line(buyer: User) -> None:
    line = inbound(a_part(), 5)
    PurchaseLine.objects.update(ordered=5)
    close_short(buyer, line, "They do not make it any more")
    now = fresh(line)
    assert (now.quantity, now.ordered, now.received, now.order.state) == (0, 5, 0, "closed")


def test_what_waited_is_tied_to_other_supply(buyer: User, clerk: Clerk) -> None:
    ring = put(a_part(), 1)
    first, second = inbound(ring, 5, in_days=5), inbound(ring, 5, in_days=9)
    kept = commit(clerk("counter"), {ring.pk: 4}, reference="S1")
    close_short(buyer, first, "lost")
    kept.refresh_from_db()
    assert kept.state == Reservation.State.KEPT
    tied = dict(kept.lines.values_list("purchase_line_id", "quantity"))
    assert tied == {None: 1, second.pk: 3} and fresh(second).reserved == 3
    call_command("check_ledger")


def test_the_least_urgent_ends_where_nothing_else_comes(buyer: User, clerk: Clerk) -> None:
    counter, ring = clerk("counter"), a_part()
    first, second = inbound(ring, 4, in_days=5), inbound(ring, 3, in_days=9)
    until = timezone.now() + an_hour()
    order = commit(counter, {ring.pk: 3}, reference="S1")
    old = hold(counter, {ring.pk: 2}, until=until, reference="Q1")
    young = hold(counter, {ring.pk: 2}, until=until, reference="Q2")
    close_short(buyer, first, "lost")
    states = [Reservation.objects.get(pk=one.pk).state for one in (order, old, young)]
    assert states == ["kept", "released", "released"]
    assert fresh(second).reserved == 3 and fresh(first).reserved == 0
    call_command("check_ledger")


def test_nobody_ends_who_need_not(buyer: User, clerk: Clerk) -> None:
    counter, ring = clerk("counter"), a_part()
    first, _second = inbound(ring, 4, in_days=5), inbound(ring, 4, in_days=9)
    until = timezone.now() + an_hour()
    small = hold(counter, {ring.pk: 1}, until=until, reference="Q1")
    large = hold(counter, {ring.pk: 4}, until=until, reference="Q2")
    close_short(buyer, first, "lost")
    small.refresh_from_db()
    large.refresh_from_db()
    # Ending the younger, large one is enough for the older.
    assert (small.state, large.state) == ("kept", "released")


def test_a_difference_is_settled_once_and_somehow(buyer: User, floor: User) -> None:
    line = inbound(a_part(), 2)
    difference = report(floor, line, 1, "a washer of brass")
    assert difference.kind == KIND.OTHER
    with pytest.raises(ActError) as refused:
        settle(buyer, difference, " ")
    assert refused.value.code == "reason-needed"
    assert settle(buyer, difference, "credited").settled_by == buyer
    with pytest.raises(Conflict, match="credited"):
        settle(buyer, difference, "replaced")


@pytest.mark.parametrize(("quantity", "what"), [(0, "brass"), (1, "")])
def test_a_report_says_how_many_and_what(floor: User, quantity: int, what: str) -> None:
    with pytest.raises(ActError):
        report(floor, inbound(a_part(), 2), quantity, what)
