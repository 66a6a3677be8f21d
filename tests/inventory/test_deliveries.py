"""Goods in: booked once, never more than was ordered, put away, and kept for who waits."""

import pytest
from django.contrib.auth.models import User

from inventory.acting import ActError, Conflict
from inventory.buying import put_away, receive
from inventory.ledger import outside
from inventory.models import Balance, Movement, Part, Place, PurchaseLine, PurchaseOrder, Receipt
from inventory.reserving import commit
from tests.clerks import Clerk
from tests.inventory.builders import a_bin, a_part, inbound, put, stock_of, the_dock

pytestmark = pytest.mark.django_db


@pytest.fixture
def floor(clerk: Clerk) -> User:
    the_dock()
    return clerk("floor")


def book(user: User, line: PurchaseLine, quantity: int, note: str = "DN-1", *lots: str) -> Receipt:
    return receive(
        user, line.order, delivery_note=note, quantities={line.pk: quantity}, lots={line.pk: list(lots)}
    )


@pytest.mark.main_job
def test_goods_come_over_the_dock_to_the_part_s_home(floor: User) -> None:
    line = inbound(a_part(home=a_bin(4)), 5)
    receipt = book(floor, line, 5)
    assert list(Movement.objects.values_list("act", "origin__kind", "destination__kind", "quantity")) == [
        ("receive", "supplier", "dock", 5),
        ("put away", "dock", "bin", 5),
    ]
    assert Balance.objects.get(quantity__gt=0).place == a_bin(4)
    line.refresh_from_db()
    assert line.received == 5 and receipt.lines.get().quantity == 5
    assert PurchaseOrder.objects.get().state == PurchaseOrder.State.CLOSED


def test_a_part_without_a_home_stays_on_the_dock_and_the_order_open(floor: User) -> None:
    line = inbound(a_part(), 5)
    book(floor, line, 3)
    assert Balance.objects.get().place == the_dock()
    assert PurchaseOrder.objects.get().state == PurchaseOrder.State.SENT


@pytest.mark.main_job
def test_what_waited_for_the_delivery_is_kept_from_stock(floor: User, clerk: Clerk) -> None:
    line = inbound(a_part(), 5)
    order = commit(clerk("counter"), {line.part_id: 2}, reference="S1")
    book(floor, line, 1)
    assert stock_of(line.part) == (1, 0, 1)
    assert set(order.lines.values_list("purchase_line", "quantity")) == {(None, 1), (line.pk, 1)}
    book(floor, line, 4, "DN-2")
    assert stock_of(line.part) == (5, 0, 2)
    assert order.lines.get().purchase_line is None and order.lines.get().quantity == 2
    line.refresh_from_db()
    assert (line.received, line.reserved) == (5, 0)


@pytest.mark.main_job
def test_more_than_was_ordered_is_refused_and_nothing_is_booked(floor: User) -> None:
    line = inbound(a_part(), 5)
    book(floor, line, 4)
    with pytest.raises(ActError, match=r"2 x .* came, but of 5 ordered 4 came before and 1 can") as refused:
        book(floor, line, 2, "DN-2")
    assert refused.value.code == "over-delivered"
    assert Receipt.objects.count() == 1 and stock_of(line.part) == (4, 0, 0)


@pytest.mark.main_job
def test_a_delivery_note_is_booked_once(floor: User) -> None:
    line = inbound(a_part(), 5)
    book(floor, line, 2)
    with pytest.raises(ActError, match="booked already") as refused:
        book(floor, line, 2, " DN-1 ")
    assert refused.value.code == "delivery-note-booked" and stock_of(line.part) == (2, 0, 0)
    book(floor, inbound(a_part(), 1), 1)  # Another order on the same note is another matter.


def test_a_draft_receives_nothing(floor: User) -> None:
    line = inbound(a_part(), 5)
    PurchaseOrder.objects.update(state="draft", sent_at=None, approved_at=None, approved_by=None)
    with pytest.raises(Conflict, match="send it first"):
        book(floor, line, 1)


def test_a_delivery_needs_its_note_its_lines_and_some_pieces(floor: User) -> None:
    line, other = inbound(a_part(), 5), inbound(a_part(), 5)
    for note, quantities, code in [
        (" ", {line.pk: 1}, "delivery-note-needed"),
        ("DN-1", {}, "nothing-received"),
        ("DN-1", {line.pk: 0}, "nothing-received"),
        ("DN-1", {other.pk: 1}, "no-such-line"),
    ]:
        with pytest.raises(ActError) as refused:
            receive(floor, line.order, delivery_note=note, quantities=quantities)
        assert refused.value.code == code


@pytest.mark.parametrize(
    ("tracking", "lots", "expected"),
    [
        (Part.Tracking.LOT, ["L1"], {"L1": 3}),
        (Part.Tracking.LOT, ["L1", "L2", "L1"], {"L1": 2, "L2": 1}),
        (Part.Tracking.LOT, ["L1", "L2", "l1"], {"L1": 2, "L2": 1}),
        (Part.Tracking.SERIAL, ["N1", "N2", "N3"], {"N1": 1, "N2": 1, "N3": 1}),
    ],
)
def test_lots_and_serials_come_in_with_the_goods(
    floor: User, tracking: Part.Tracking, lots: list[str], expected: dict[str, int]
) -> None:
    book(floor, inbound(a_part(tracking=tracking), 3), 3, "DN-1", *lots)
    assert dict(Balance.objects.values_list("lot__code", "quantity")) == expected


@pytest.mark.parametrize(
    ("tracking", "lots", "code"),
    [
        (Part.Tracking.LOT, [], "lot-needed"),
        (Part.Tracking.LOT, ["L1", "L2"], "wrong-lot"),
        (Part.Tracking.SERIAL, ["N1"], "lot-needed"),
        (Part.Tracking.SERIAL, ["N1", "N1", "N2"], "wrong-lot"),
        (Part.Tracking.SERIAL, ["N1", "n1", "N2"], "wrong-lot"),
        (Part.Tracking.NONE, ["L1"], "wrong-lot"),
    ],
)
def test_wrong_lots_are_refused(floor: User, tracking: Part.Tracking, lots: list[str], code: str) -> None:
    with pytest.raises(ActError) as refused:
        book(floor, inbound(a_part(tracking=tracking), 3), 3, "DN-1", *lots)
    assert refused.value.code == code and not Receipt.objects.exists()


@pytest.mark.main_job
def test_a_serial_number_in_other_letters_is_the_same_piece(floor: User) -> None:
    pump = put(a_part(tracking=Part.Tracking.SERIAL), 1, lot="N1")
    with pytest.raises(ActError, match=r"N1 .* is booked in A-1-1-1 already"):
        book(floor, inbound(pump, 1), 1, "DN-1", "n1")
    assert pump.lots.count() == 1 and not Receipt.objects.exists()


def test_pieces_are_carried_only_between_two_places_here(floor: User) -> None:
    ring = put(a_part(), 2)
    for origin, destination in [(a_bin(), a_bin()), (a_bin(), outside(Place.Kind.CUSTOMER))]:
        with pytest.raises(ActError) as refused:
            put_away(floor, ring, origin=origin, destination=destination, quantity=1)
        assert refused.value.code == "not-a-place-here"
    with pytest.raises(Conflict, match="2 there"):
        put_away(floor, ring, origin=a_bin(), destination=a_bin(2), quantity=3)


def test_without_a_dock_goods_in_is_told(floor: User) -> None:
    Place.objects.filter(kind=Place.Kind.DOCK).delete()
    with pytest.raises(ActError, match="no goods-in dock"):
        book(floor, inbound(a_part(), 1), 1)
