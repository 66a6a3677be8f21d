"""The files of an order to a supplier as the desk and the API hand them out."""

from __future__ import annotations

from collections.abc import Callable

from django.http import HttpResponse

from inventory.models import PurchaseOrder

from .purchase_csv import csv_of
from .purchase_pdf import pdf_of

# By what their names end with: the type of content, and what makes it.
PURCHASE_FILES: dict[str, tuple[str, Callable[[PurchaseOrder], bytes | str]]] = {
    "pdf": ("application/pdf", pdf_of),
    "csv": ("text/csv; charset=utf-8", csv_of),
}


def download_of(order: PurchaseOrder, ending: str) -> HttpResponse:
    """The answer that is kept as a file."""
    content_type, made = PURCHASE_FILES[ending]
    answer = HttpResponse(made(order), content_type=content_type)
    answer["Content-Disposition"] = f'attachment; filename="order-{order.number}.{ending}"'
    return answer
