"""A charge after the goods: what is still here bears its share, the rest is spent."""

from decimal import Decimal

import pytest
from django.contrib.auth.models import User

from inventory.acting import ActError, NotAllowed
from inventory.counting import scrap
from inventory.deliveries import receive
from inventory.late_charges import charge_late
from inventory.models import LateCharge, Part, PurchaseLine, Receipt
from tests.clerks import Clerk
from tests.inventory.builders import a_bin, a_part, inbound, put, the_dock
from tests.inventory.costs import a_part_by_lot, lots_of, worth

pytestmark = [pytest.mark.django_db, pytest.mark.main_job]


@pytest.fixture
def buyer(clerk: Clerk) -> User:
    the_dock()
    return clerk("buying")


def booked(user: User, line: PurchaseLine, *lots: str) -> Receipt:
    return receive(
        user,
        line.order,
        delivery_note="DN-1",
        quantities={line.pk: line.quantity},
        lots={line.pk: list(lots)},
    )


def borne(charge: LateCharge) -> tuple[str, str]:
    """Absorbed and spent, as they are kept."""
    kept = LateCharge.objects.get(pk=charge.pk)
    return str(kept.absorbed), str(kept.spent)


def an_owner() -> User:
    return User.objects.create_superuser("owner")


def test_what_is_all_here_bears_all_of_it(buyer: User) -> None:
    line = inbound(a_part(), 4)
    (charge,) = charge_late(buyer, booked(buyer, line), Decimal("10.00"), "freight")
    assert borne(charge) == ("10.0000", "0.0000") and charge.lot is None
    assert worth(line.part) == Decimal("42.0000")


def test_the_share_of_what_has_left_is_spent(buyer: User) -> None:
    line = inbound(a_part(home=a_bin()), 3)
    receipt = booked(buyer, line)
    scrap(an_owner(), line.part, a_bin(), 1, "bent")
    (charge,) = charge_late(buyer, receipt, Decimal("10.00"), "duty")
    assert borne(charge) == ("6.6667", "3.3333")
    assert worth(line.part) == Decimal("22.6667")


def test_lines_share_it_by_what_they_cost(buyer: User) -> None:
    line, dear = inbound(a_part(), 1), a_part()
    line.order.lines.create(part=dear, quantity=2, price=Decimal("12.00"), due=line.due)
    quantities = {one.pk: one.quantity for one in line.order.lines.all()}
    receipt = receive(buyer, line.order, delivery_note="DN-1", quantities=quantities)
    charge_late(buyer, receipt, Decimal("4.00"), "freight")
    assert (worth(line.part), worth(dear)) == (Decimal("9.0000"), Decimal("27.0000"))


def test_a_lot_with_a_cost_of_its_own_bears_its_own_share(buyer: User) -> None:
    part = a_part_by_lot()
    part.home = a_bin()
    part.save()
    receipt = booked(buyer, inbound(part, 3), "L1", "L1", "L2")
    scrap(an_owner(), part, a_bin(), 1, "bent", lot=part.lots.get(code="L1"))
    charge_late(buyer, receipt, Decimal("6.00"), "freight")
    first, second = LateCharge.objects.select_related("lot")
    assert (str(first.lot), *borne(first)) == ("L1", "2.0000", "2.0000")
    assert (str(second.lot), *borne(second)) == ("L2", "2.0000", "0.0000")
    assert lots_of(part) == {"L1": (1, Decimal("10.0000")), "L2": (1, Decimal("10.0000"))}
    assert worth(part) == Decimal("20.0000")


def test_other_pieces_of_a_part_at_average_bear_it_no_further_than_came(buyer: User) -> None:
    line = inbound(a_part(), 2)
    receipt = booked(buyer, line)
    put(line.part, 5)
    (charge,) = charge_late(buyer, receipt, Decimal("1.00"), "freight")
    assert borne(charge) == ("1.0000", "0.0000")


@pytest.mark.parametrize(
    ("amount", "reason", "code"),
    [
        ("0", "freight", "bad-charges"),
        ("-1", "freight", "bad-charges"),
        ("0.001", "freight", "bad-charges"),
        ("NaN", "freight", "bad-charges"),
        ("10000000000", "freight", "bad-charges"),
        ("9999999999.99", "freight", "bad-quantity"),
        ("1", "  ", "reason-needed"),
    ],
)
def test_nonsense_is_refused(buyer: User, amount: str, reason: str, code: str) -> None:
    receipt = booked(buyer, inbound(a_part(tracking=Part.Tracking.NONE), 1))
    with pytest.raises(ActError) as refused:
        charge_late(buyer, receipt, Decimal(amount), reason)
    assert refused.value.code == code and not LateCharge.objects.exists()


def test_a_receipt_that_brought_nothing_bears_nothing(buyer: User) -> None:
    line = inbound(a_part(), 1)
    empty = Receipt.objects.create(order=line.order, at=line.order.made_at, by=buyer, delivery_note="X")
    with pytest.raises(ActError, match="brought nothing"):
        charge_late(buyer, empty, Decimal(1), "freight")


def test_it_is_the_buying_desk_s(buyer: User, clerk: Clerk) -> None:
    receipt = booked(buyer, inbound(a_part(), 1))
    with pytest.raises(NotAllowed):
        charge_late(clerk("floor"), receipt, Decimal(1), "freight")
