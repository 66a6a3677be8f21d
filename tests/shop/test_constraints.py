"""Every named constraint of the shop, broken once: the database says no, whoever writes."""

from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest
from django.apps import apps
from django.db import IntegrityError, transaction
from django.utils import timezone

from inventory.models import Movement
from shop import ordering, packing, picking
from shop.models import (
    AsBuilt,
    CustomerReturn,
    KeptAnswer,
    Notice,
    Order,
    OrderKit,
    Parcel,
    Quote,
    QuoteKit,
    QuoteLine,
)
from tests.clerks import Clerk
from tests.shop.small import SmallShop


class Rows:
    """One row of each kind, to break."""

    def __init__(self, shop: SmallShop, clerk: Clerk) -> None:
        self.shop = shop
        order = ordering.accept(shop.counter, shop.quote())
        for stop in picking.make_walk(clerk("floor"), [order]).stops.all():
            picking.pick(
                clerk("floor"), stop, scanned=stop.part.number, lot=stop.lot.code if stop.lot else ""
            )
        self.parcel = packing.pack(clerk("floor"), order, lots={"OR-7P": ["N1"]})
        self.order = Order.objects.get()
        self.quote = self.order.quote
        self.quote_kit = self.quote.kits.get()
        self.line = self.quote_kit.lines.order_by("position")[0]
        self.order_kit = self.order.kits.get()


def change(model: Any, **values: Any) -> Callable[[Rows], Any]:
    return lambda _: model.objects.update(**values)


def answer_twice(rows: Rows) -> None:
    for _ in range(2):
        KeptAnswer.objects.create(user=rows.shop.counter, key="k", request_hash="h")


def count_kit_twice(rows: Rows) -> None:
    OrderKit.objects.create(order=rows.order, quote_kit=rows.quote_kit, ordinal=1)


def two_lines_in_one_place(rows: Rows) -> None:
    QuoteLine.objects.create(
        quote_kit=rows.quote_kit, position=1, kind="work", text="turn", unit_price=Decimal(1)
    )


def a_notice(rows: Rows, **values: Any) -> Notice:
    return Notice.objects.create(
        **{"kind": Notice.Kind.DATE_MOVED, "order": rows.order, "text": "later"} | values
    )


def notice_twice(**about: Any) -> Callable[[Rows], Any]:
    def twice(rows: Rows) -> None:
        for _ in range(2):
            a_notice(rows, **{name: getattr(rows, which) if which else None for name, which in about.items()})

    return twice


def return_nothing(rows: Rows) -> None:
    back = CustomerReturn.objects.create(
        order=rows.order, at=timezone.now(), by=rows.shop.counter, reason="wrong engine"
    )
    back.lines.create(part=rows.shop.bolt, quantity=0, condition="good", movement=Movement.objects.all()[0])


BREAKS: dict[str, Callable[[Rows], Any]] = {
    "one_answer_per_key": answer_twice,
    "only_a_waiting_order_keeps_nothing": change(Order, reservation=None),
    "a_shipped_parcel_has_a_carrier": change(Parcel, shipped_at=timezone.now()),
    "order_kit_counted_once": count_kit_twice,
    "as_built_holds_something": change(AsBuilt, quantity=0),
    "quote_gross_is_net_plus_tax": change(Quote, gross=Decimal(1)),
    "a_lost_quote_says_why": change(Quote, state="lost"),
    "quote_kit_sells_something": change(QuoteKit, quantity=0),
    "quote_kit_price_not_negative": change(QuoteKit, price=Decimal(-1)),
    "quote_lines_have_an_order": two_lines_in_one_place,
    "quote_line_sells_something": change(QuoteLine, quantity=0),
    "a_part_line_has_a_part": change(QuoteLine, part=None),
    "a_notice_is_about_one_thing": lambda rows: a_notice(rows, quote=rows.quote),
    "one_unseen_notice_of_a_quote": notice_twice(quote="quote", order=""),
    "one_unseen_notice_of_an_order": notice_twice(),
    "a_seen_notice_was_seen_by_somebody": lambda rows: a_notice(rows, seen_at=timezone.now()),
    "return_line_returns_something": return_nothing,
}


@pytest.mark.parametrize("name", BREAKS)
def test_the_database_refuses(name: str, small_shop: SmallShop, clerk: Clerk) -> None:
    rows = Rows(small_shop, clerk)
    with pytest.raises(IntegrityError) as caught, transaction.atomic():
        BREAKS[name](rows)
    said = str(caught.value)
    # SQLite names the columns of a unique index instead of the index.
    assert name in said or "UNIQUE constraint failed" in said


def test_no_constraint_of_the_shop_is_left_out() -> None:
    models = apps.get_app_config("shop").get_models()
    assert {constraint.name for model in models for constraint in model._meta.constraints} == set(BREAKS)
