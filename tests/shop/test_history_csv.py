"""The history as CSV: plain forms, and nothing that a spreadsheet would run."""

import csv
from collections.abc import Iterator
from datetime import UTC, datetime
from decimal import Decimal

import pytest

from inventory.history import Entry
from shop.history_csv import csv_lines
from shop.plain_csv import harmless


def entry(number: int = 1, reference: str = "S00012") -> Entry:
    return Entry(
        id=number,
        at=datetime(2026, 6, 10, 22, 30, 5, tzinfo=UTC),
        act="ship",
        quantity=3,
        lot=None,
        origin="PACKED",
        destination="CUSTOMER",
        by="tam",
        reference=reference,
        reason="",
        value=Decimal("7.0000"),
        change=-3,
        on_hand=4,
    )


def read(entries: list[Entry], *, with_costs: bool) -> dict[str, str]:
    [row] = csv.DictReader(csv_lines(entries, with_costs=with_costs))
    return row


def test_days_and_money_are_in_plain_forms() -> None:
    row = read([entry()], with_costs=True)
    assert (row["at"], row["change"], row["on_hand"]) == ("2026-06-10T23:30:05+01:00", "-3", "4")
    assert (row["value"], row["unit_cost"], row["lot"]) == ("7.0000", "2.3333", "")


def test_costs_are_left_out_for_who_may_not_see_them() -> None:
    assert not {"value", "unit_cost"} & read([entry()], with_costs=False).keys()


@pytest.mark.parametrize("text", ["=1+1", "+44", "-2", "@sum", "\t=1", "\r=1"])
def test_what_looks_like_a_formula_is_a_text(text: str) -> None:
    assert harmless(text) == f"'{text}"
    assert read([entry(reference=text)], with_costs=False)["reference"] == f"'{text}"


@pytest.mark.parametrize("text", ["", "S00012", "a=b", "A-1-2"])
def test_other_texts_stay_as_they_are(text: str) -> None:
    assert harmless(text) == text


def test_lines_are_made_as_they_are_asked_for() -> None:
    asked = []

    def endless() -> Iterator[Entry]:
        number = 0
        while True:
            asked.append(number)
            yield entry(number)
            number += 1

    lines = csv_lines(endless(), with_costs=False)
    assert [next(lines) for _ in range(3)][2].startswith("1,")
    assert len(asked) == 2
