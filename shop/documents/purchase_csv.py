"""An order to a supplier as CSV, for the supplier's own system: plain decimals, days by ISO 8601."""

from __future__ import annotations

from inventory.models import PurchaseOrder
from shop.plain_csv import harmless, lines_of

from .purchase import PurchaseRow, purchase_paper

HEADINGS = ("order", "position", "your_number", "our_number", "part", "quantity", "price", "currency", "due")


def csv_of(order: PurchaseOrder) -> str:
    """The headings, then a line for each part. Carriage is on the PDF: it is nothing to be picked."""
    paper = purchase_paper(order)
    return "".join(lines_of(HEADINGS, (_cells(paper.number, paper.currency, row) for row in paper.rows)))


def _cells(number: str, currency: str, row: PurchaseRow) -> list[str]:
    return [
        number,
        str(row.position),
        harmless(row.their_number),
        harmless(row.number),
        harmless(row.what),
        str(row.quantity),
        str(row.price),
        currency,
        row.due.isoformat(),
    ]
