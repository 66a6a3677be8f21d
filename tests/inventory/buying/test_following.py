"""What suppliers are late with, and asking them for it once a day."""

from datetime import timedelta

import pytest
import time_machine
from django.contrib.auth.models import User
from django.utils import timezone

from inventory.acting import ActError, Conflict
from inventory.buying import close_short, late_lines, receive, remind, write_order
from inventory.models import PurchaseLine, Reminder
from tests.clerks import Clerk
from tests.inventory.builders import a_part, a_supplier, an_offer, inbound, the_dock

pytestmark = [pytest.mark.django_db, pytest.mark.main_job]


@pytest.fixture
def buyer(clerk: Clerk) -> User:
    return clerk("buying")


def late(days: int, *, supplier: str = "Corran Supply", quantity: int = 5) -> PurchaseLine:
    return inbound(a_part(), quantity, in_days=-days, supplier=a_supplier(supplier))


def test_what_is_overdue_is_listed_by_supplier_the_longest_first() -> None:
    first, second, other = late(3), late(9), late(5, supplier="Inver Bearings")
    inbound(a_part(), 5, in_days=0)
    inbound(a_part(), 5, in_days=4)
    found = late_lines(timezone.now())
    assert [(one.supplier.name, [line.line for line in one.lines]) for one in found] == [
        ("Corran Supply", [second, first]),
        ("Inver Bearings", [other]),
    ]
    assert [(line.left, line.days) for line in found[0].lines] == [(5, 9), (5, 3)]


def test_what_has_come_or_will_not_come_is_not_late(buyer: User) -> None:
    the_dock()
    line, short = late(3), late(3)
    receive(buyer, line.order, delivery_note="D1", quantities={line.pk: 3})
    close_short(buyer, short, "lost at sea")
    ((one,),) = [found.lines for found in late_lines(timezone.now())]
    assert (one.line, one.left) == (line, 2)
    receive(buyer, line.order, delivery_note="D2", quantities={line.pk: 2})
    assert late_lines(timezone.now()) == []


def test_a_reminder_is_noted_on_each_line_once_a_day(buyer: User) -> None:
    first, second = late(3), late(9)
    made = remind(buyer, [first, second], " Rang, nobody there ")
    assert {(one.line, one.note, one.by) for one in made} == {
        (first, "Rang, nobody there", buyer),
        (second, "Rang, nobody there", buyer),
    }
    asked = {line.line: line.asked for one in late_lines(timezone.now()) for line in one.lines}
    assert asked == {one.line: one for one in made}
    with pytest.raises(ActError, match="Asked for today already") as refused:
        remind(buyer, [late(2), first], "again")
    assert refused.value.code == "asked-today" and Reminder.objects.count() == 2
    with time_machine.travel(timezone.now() + timedelta(days=1)):
        remind(buyer, [first], "again")
    assert first.reminders.count() == 2


def test_what_is_not_to_come_is_not_asked_for(buyer: User) -> None:
    offer = an_offer(a_part())
    draft = write_order(buyer, offer.supplier, {offer.part_id: 1}).lines.get()
    closed = late(3)
    close_short(buyer, closed, "lost at sea")
    for line in (draft, closed):
        with pytest.raises(Conflict, match="nothing to wait for"):
            remind(buyer, [late(1), line], "where is it?")
    assert not Reminder.objects.exists()


@pytest.mark.parametrize(
    ("lines", "note", "code"), [(0, "hello?", "nothing-wanted"), (1, " ", "note-needed")]
)
def test_a_reminder_says_what_and_of_which(buyer: User, lines: int, note: str, code: str) -> None:
    with pytest.raises(ActError) as refused:
        remind(buyer, [late(2) for _ in range(lines)], note)
    assert refused.value.code == code
