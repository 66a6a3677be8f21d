"""Who keeps pieces of a part."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.utils import timezone

from inventory.keepers import keepers
from inventory.models import Part, Reservation
from inventory.reserving import commit, hold, release
from tests.clerks import Clerk
from tests.inventory.builders import a_part, inbound, put

pytestmark = pytest.mark.django_db


@pytest.fixture
def counter(clerk: Clerk) -> User:
    return clerk("counter")


def told(part: Part, *, hours: int = 0) -> list[tuple[str, int, bool]]:
    """Reference, pieces, and whether from a delivery."""
    lines = keepers(part, timezone.now() + timedelta(hours=hours))
    return [(line.reservation.reference, line.quantity, line.purchase_line is not None) for line in lines]


def keep(user: User, part: Part, quantity: int, reference: str, hours: int = 48) -> Reservation:
    until = timezone.now() + timedelta(hours=hours)
    return hold(user, {part.pk: quantity}, until=until, reference=reference)


def test_commitments_come_first_and_deliveries_are_named(counter: User) -> None:
    part, other = put(a_part(), 5), put(a_part(), 5)
    line = inbound(part, 10)
    keep(counter, part, 2, "Q1")
    keep(counter, other, 2, "Q2")
    commit(counter, {part.pk: 6}, reference="S1")
    assert told(part) == [("S1", 3, False), ("S1", 3, True), ("Q1", 2, False)]
    assert keepers(part, timezone.now())[1].purchase_line == line


def test_a_hold_that_is_over_keeps_nothing_though_nobody_swept_it_up(counter: User) -> None:
    part = put(a_part(), 5)
    keep(counter, part, 2, "Q1", hours=1)
    keep(counter, part, 2, "Q2", hours=3)
    assert told(part, hours=2) == [("Q2", 2, False)]


def test_what_was_released_keeps_nothing(counter: User) -> None:
    part = put(a_part(), 5)
    release(counter, keep(counter, part, 2, "Q1"))
    assert told(part) == []


def test_many_keepers_are_asked_for_as_few(
    counter: User, django_assert_num_queries: Callable[[int], Any]
) -> None:
    part = put(a_part(), 50)
    inbound(part, 50)
    for number in range(12):
        keep(counter, part, 5, f"Q{number}")
    with django_assert_num_queries(3):
        for line in keepers(part, timezone.now()):
            str(line.reservation.reference), str(line.purchase_line and line.purchase_line.order.supplier)
