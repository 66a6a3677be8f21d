"""What the buying desk downloads: its lists as CSV, and the papers of one order."""

from __future__ import annotations

from django.http import Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404
from django.utils import timezone

from inventory.models import PurchaseOrder
from shop.desks.buying.tables import TABLES
from shop.desks.page import DeskView
from shop.desks.rights import APPROVE_ORDERS, BUY
from shop.documents.purchase_files import PURCHASE_FILES, download_of
from shop.plain_csv import download, lines_of


class BuyingFile(DeskView):
    """A list of the desk as CSV, sent as it is read."""

    rights = (*BUY, *APPROVE_ORDERS)

    def get(self, request: HttpRequest, name: str) -> HttpResponseBase:
        if name not in TABLES:
            raise Http404(f"There is no list called {name}.")
        now, table = timezone.now(), TABLES[name]
        rows = table.rows(now, request.GET)
        return download(lines_of(table.headings, rows), f"{name}-{timezone.localdate(now):%Y-%m-%d}.csv")


class PurchasePaper(DeskView):
    """The papers that go with the letter to the supplier; of a draft the PDF says that it is one."""

    rights = (*BUY, *APPROVE_ORDERS)

    def get(self, _request: HttpRequest, pk: int, kind: str) -> HttpResponse:
        order = get_object_or_404(PurchaseOrder.objects.select_related("supplier"), pk=pk)
        if kind not in PURCHASE_FILES:
            raise Http404(f"There is no {kind} of an order.")
        return download_of(order, kind)
