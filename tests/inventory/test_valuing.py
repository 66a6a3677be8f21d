"""What the stock was worth at any moment: as a replay of the ledger says, and as Stock says now."""

import csv
import io
import random
from collections import defaultdict
from datetime import UTC, datetime, timedelta
from decimal import Decimal

import pytest
import time_machine
from django.core.management import CommandError, call_command
from django.utils import timezone

from inventory.deliveries import receive
from inventory.late_charges import charge_late
from inventory.models import LateCharge, Movement, Part, Stock
from inventory.valuing import value_at
from tests.clerks import Clerk
from tests.inventory.builders import a_lot, a_part, inbound, put, stock_of, the_dock
from tests.inventory.costs import a_part_by_lot, buy, sell

pytestmark = [pytest.mark.django_db, pytest.mark.main_job]

START = datetime(2026, 3, 1, 8, tzinfo=UTC)
HOURS = 60

Figures = dict[tuple[int, int | None], tuple[int, Decimal]]


def a_busy_time(clerk: Clerk, chance: random.Random) -> list[Part]:
    """Receipts, sales and a late charge, one an hour."""
    ring, by_lot = put(a_part(), 1), a_part_by_lot()
    for hour in range(HOURS):
        with time_machine.travel(START + timedelta(hours=hour), tick=False):
            part, lot = chance.choice([(ring, ""), (by_lot, "L1"), (by_lot, "L2")])
            there = a_lot(part, lot).on_hand if lot else stock_of(part)[0]
            if there and chance.random() < 0.4:
                sell(part, 1, lot=lot)
            else:
                cents = chance.randint(0, 99_999)
                buy(part, chance.randint(1, 3), str(Decimal(cents).scaleb(-2)), lot=lot)
    with time_machine.travel(START + timedelta(hours=HOURS // 2), tick=False):
        the_dock()
        line, buyer = inbound(ring, 2), clerk("buying")
        receipt = receive(buyer, line.order, delivery_note="DN", quantities={line.pk: 2})
        charge_late(buyer, receipt, Decimal("7.77"), "freight")
    return [ring, by_lot]


def replay(until: datetime) -> Figures:
    """Movement by movement, in Python."""
    found: dict[tuple[int, int | None], list[Decimal]] = defaultdict(lambda: [Decimal(0), Decimal(0)])
    for one in Movement.objects.filter(at__lte=until).select_related("origin", "destination", "part"):
        here = found[one.part_id, one.lot_id if one.part.costing == Part.Costing.LOT else None]
        sign = one.destination.is_inside - one.origin.is_inside
        here[0] += sign * one.quantity
        here[1] += sign * one.value
    for charge in LateCharge.objects.filter(at__lte=until):
        found[charge.part_id, charge.lot_id][1] += charge.absorbed
    return {key: (int(pieces), value) for key, (pieces, value) in found.items() if pieces or value}


def figures(when: datetime, parts: list[int] | None = None) -> Figures:
    return {(one.part_id, one.lot_id): (one.on_hand, one.value) for one in value_at(when, parts)}


@pytest.mark.parametrize("seed", range(2))
def test_it_is_what_a_replay_of_the_ledger_says(seed: int, clerk: Clerk) -> None:
    chance = random.Random(seed)
    parts = a_busy_time(clerk, chance)
    for _ in range(10):
        when = START + timedelta(minutes=chance.randint(0, 60 * HOURS))
        assert figures(when) == replay(when)
        of_one = figures(when, [parts[0].pk])
        assert of_one == {key: one for key, one in replay(when).items() if key[0] == parts[0].pk}


def test_now_it_is_what_stock_says(clerk: Clerk) -> None:
    parts = a_busy_time(clerk, random.Random(9))
    worths = value_at(timezone.now())
    for part in parts:
        stock = Stock.objects.get(part=part)
        of_it = [one for one in worths if one.part_id == part.pk]
        assert sum(one.value for one in of_it) == stock.value
        assert sum(one.on_hand for one in of_it) == stock.on_hand


def test_before_anything_came_it_was_worth_nothing() -> None:
    buy(a_part(), 2, "9.00")
    assert value_at(timezone.now() - timedelta(days=1)) == []


def test_the_command_prints_parts_and_a_total(capsys: pytest.CaptureFixture[str]) -> None:
    ring, by_lot = a_part(), a_part_by_lot()
    buy(ring, 2, "9.00")
    buy(by_lot, 1, "5.55", lot="L1")
    call_command("stock_value")
    first, second, total = capsys.readouterr().out.splitlines()
    assert first.split()[1] == ring.number and first.split()[-2:] == ["2", "9.00"]
    assert second.split()[-3:] == ["L1", "1", "5.55"]
    assert total.split() == ["total", "3", "14.55"]


def test_the_command_writes_for_a_spreadsheet_and_goes_back(capsys: pytest.CaptureFixture[str]) -> None:
    ring = a_part()
    with time_machine.travel(START):
        buy(ring, 2, "9.00")
    buy(ring, 1, "9.00")
    call_command("stock_value", "--at", "2026-03-01", "--csv")
    head, row = csv.reader(io.StringIO(capsys.readouterr().out))
    assert head == ["part", "name", "lot", "pieces", "value"]
    assert row[2:] == ["", "2", "9.0000"]
    call_command("stock_value", "--at", "2026-03-01T07:00")
    assert capsys.readouterr().out.split() == ["total", "0", "0.00"]


def test_the_command_wants_a_day_or_a_moment() -> None:
    with pytest.raises(CommandError, match="no day or moment"):
        call_command("stock_value", "--at", "last week")
