"""What reservations keep, and what moves it: for the tests of holds that change."""

from datetime import timedelta
from typing import Any

from django.contrib.auth.models import User
from django.db import transaction
from django.utils import timezone

from inventory.checking import checks
from inventory.models import PurchaseLine, Reservation
from inventory.reserving import hold, retie
from tests.inventory.builders import today


def a_hold(user: User, wants: dict[int, int], reference: str = "Q1", **more: Any) -> Reservation:
    return hold(user, wants, until=timezone.now() + timedelta(hours=1), reference=reference, **more)


def keeps(reservation: Reservation) -> dict[tuple[int, int | None], int]:
    rows = reservation.lines.values_list("part", "purchase_line", "quantity")
    return {(part, line): quantity for part, line, quantity in rows}


def no_differences() -> bool:
    return not [line for check in checks() for line in check.differences()]


def slip(line: PurchaseLine, days: int) -> None:
    PurchaseLine.objects.filter(pk=line.pk).update(due=today() + timedelta(days=days))


def tie_anew(*parts: int) -> list[Reservation]:
    with transaction.atomic():
        return retie(parts, timezone.now())
