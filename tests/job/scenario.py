"""The demo scenario's own figures, read from its files: what a test expects is worked out from these.

Parts are named as in the files: the maker's code and the number.
"""

from __future__ import annotations

import csv
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path

import yaml

from inventory.models import Part

FOLDER = Path(__file__).parent.parent.parent / "fixtures" / "demo"


@dataclass(frozen=True)
class Scenario:
    """Prices, pieces on the shelves, lots (oldest first), targets and what is to come, by part."""

    prices: Mapping[str, Decimal]
    on_hand: Mapping[str, int]
    lots: Mapping[str, list[str]]
    targets: Mapping[str, tuple[int, int]]
    to_come: Mapping[str, int]


def read() -> Scenario:
    on_hand: dict[str, int] = {}
    lots: dict[str, list[str]] = {}
    for row in _rows("stock.csv"):
        on_hand[row["part"]] = on_hand.get(row["part"], 0) + int(row["quantity"])
        lots.setdefault(row["part"], []).extend(row["lots"].split())
    to_come: dict[str, int] = {}
    for row in _rows("purchase_orders.csv"):
        if row["sent_days_ago"]:  # A draft brings nothing.
            to_come[row["part"]] = to_come.get(row["part"], 0) + int(row["quantity"])
    targets = {row["part"]: (int(row["reorder_at"]), int(row["up_to"])) for row in _rows("targets.csv")}
    return Scenario(_prices(), on_hand, lots, targets, to_come)


def part(label: str) -> Part:
    """'aldwen AW-1404' as a part in the database."""
    maker, _, number = label.partition(" ")
    return Part.objects.select_related("maker").get(maker__code=maker, number=number)


def label(part: Part) -> str:
    return f"{part.maker.code} {part.number}"


def _rows(name: str) -> list[dict[str, str]]:
    with (FOLDER / name).open(newline="") as file:
        return list(csv.DictReader(file))


def _prices() -> dict[str, Decimal]:
    prices: dict[str, Decimal] = {}
    for path in sorted((FOLDER / "parts").glob("*.yaml")):
        maker = yaml.safe_load(path.read_text())
        prices |= {f"{maker['maker']} {part['number']}": Decimal(part["price"]) for part in maker["parts"]}
    return prices
