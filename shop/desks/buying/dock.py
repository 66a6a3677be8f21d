"""What is expected at the dock, next first."""

from __future__ import annotations

from typing import Any

from inventory.models import PurchaseOrder
from shop.desks.buying.paperwork import NEXT_FIRST, purchases
from shop.desks.page import DeskPage, Sheet
from shop.desks.rights import BUY, GOODS_IN


class GoodsIn(DeskPage):
    template_name = "desks/buying/goods_in.html"
    rights = (*GOODS_IN, *BUY)

    def sheet(self) -> Sheet:
        return Sheet("Goods in", "3-2")

    def context(self) -> dict[str, Any]:
        return {"sent": purchases().filter(state=PurchaseOrder.State.SENT).order_by(NEXT_FIRST, "pk")}
