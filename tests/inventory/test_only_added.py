"""Movements, late charges and count entries are only ever added: the database refuses anything else."""

from decimal import Decimal

import pytest
from django.db import DatabaseError, connection, transaction
from django.utils import timezone

from inventory.models import CountEntry, CountLine, CountRound, LateCharge, Movement, Receipt
from tests.inventory.builders import a_bin, a_part, inbound, put, the_founder

pytestmark = [pytest.mark.django_db, pytest.mark.main_job]

CHANGES = [
    "UPDATE inventory_movement SET quantity = 9",
    "DELETE FROM inventory_movement",
    "UPDATE inventory_latecharge SET spent = 9",
    "DELETE FROM inventory_latecharge",
    "UPDATE inventory_countentry SET found = 9",
    "DELETE FROM inventory_countentry",
]
TABLES = ["inventory_movement", "inventory_latecharge", "inventory_countentry"]
REFUSED = "only ever added"


@pytest.fixture
def one_of_each() -> None:
    ring = put(a_part(), 1)
    line = inbound(ring, 1)
    receipt = Receipt.objects.create(
        order=line.order, at=timezone.now(), by=the_founder(), delivery_note="DN-1"
    )
    LateCharge.objects.create(
        at=timezone.now(), receipt=receipt, part=ring, spent=Decimal(1), reason="freight", by=the_founder()
    )
    counted = CountLine.objects.create(
        round=CountRound.objects.create(why="doubt", made_by=the_founder()),
        sequence=1,
        place=a_bin(),
        part=ring,
    )
    CountEntry.objects.create(line=counted, found=1, expected=1, counted_at=timezone.now(), by=the_founder())


def refused(statement: str) -> None:
    with (
        pytest.raises(DatabaseError, match=REFUSED),
        transaction.atomic(),
        connection.cursor() as cursor,
    ):
        cursor.execute(statement)


@pytest.mark.parametrize("statement", CHANGES)
def test_nothing_is_changed_or_deleted(statement: str, one_of_each: None) -> None:
    refused(statement)
    counts = [model._default_manager.count() for model in (Movement, LateCharge, CountEntry)]
    assert counts == [1, 1, 1]


@pytest.mark.parametrize("table", TABLES)
def test_no_table_is_emptied_at_a_stroke(table: str, one_of_each: None) -> None:
    """SQLite has no statement for that: it deletes, row by row."""
    empty = "TRUNCATE {} CASCADE" if connection.vendor == "postgresql" else "DELETE FROM {}"
    connection.check_constraints()  # PostgreSQL empties no table of which something is still to check.
    refused(empty.format(table))
