"""Which desks a user works at, and the rights that open each."""

from __future__ import annotations

from dataclasses import dataclass

from django.contrib.auth.models import User

SELL = ("shop.sell", "kits.customise")
PICK = ("inventory.pick",)
GOODS_IN = ("inventory.receive_goods",)
BUY = ("inventory.buy", "inventory.handle_alerts")
APPROVE_ORDERS = ("inventory.approve_orders",)
COUNT = ("inventory.count",)
CORRECT = ("inventory.correct_stock",)
APPROVE = ("inventory.approve_corrections",)
CATALOGUE = ("kits.keep_catalogue",)


@dataclass(frozen=True)
class Desk:
    """A desk as the landing page and the title block name it; `address` is a URL name."""

    name: str
    address: str
    does: str
    rights: tuple[str, ...]


DESKS = (
    Desk("Counter", "counter", "Name the engine, fit the kit to the customer, quote, sell.", SELL),
    Desk("Floor", "floor", "Walk for many orders at once, pack what was scanned, ship.", PICK),
    Desk("Goods in", "goods-in", "Book deliveries against what was ordered.", GOODS_IN),
    Desk("Buying", "buying", "See what runs short, order it in time.", (*BUY, *APPROVE_ORDERS)),
    Desk("Catalogue", "admin:index", "Keep engines, parts, sizes, templates and rules right.", CATALOGUE),
)


def desks_of(user: User) -> list[Desk]:
    """The desks that the user may open, in the order of the shop's day."""
    return [desk for desk in DESKS if any(user.has_perm(right) for right in desk.rights)]
