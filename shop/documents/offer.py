"""The quote sheet: what the customer is offered, until when, and for how much."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.utils import timezone

from shop import money
from shop.models import Quote, QuoteKit
from shop.quoting import live_hold


@dataclass(frozen=True)
class OfferLine:
    """One line of a kit, priced for one kit."""

    text: str
    quantity: int
    unit_price: Decimal
    net: Decimal


@dataclass(frozen=True)
class OfferKit:
    """One kit: its lines, what the swaps add to the standard kit, and so many of it."""

    title: str
    quantity: int
    lines: tuple[OfferLine, ...]
    standard_price: Decimal
    difference: Decimal
    price: Decimal
    net: Decimal
    verdict: str
    cautions: tuple[str, ...]


@dataclass(frozen=True)
class QuoteSheet:
    number: str
    customer: str
    address: str
    made_at: datetime
    valid_until: datetime
    held_until: datetime | None
    wanted_on: date | None
    currency: str
    kits: tuple[OfferKit, ...]
    net: Decimal
    tax_percent: Decimal
    tax: Decimal
    gross: Decimal


def quote_sheet(quote: Quote) -> dict[str, Any]:
    """Context of quote_sheet.html, with the prices that the quote keeps."""
    held = live_hold(quote, timezone.now())
    kits = quote.kits.prefetch_related("lines")
    sheet = QuoteSheet(
        number=quote.number,
        customer=quote.customer.name,
        address=quote.customer.address,
        made_at=quote.made_at,
        valid_until=quote.valid_until,
        held_until=held.until if held else None,
        wanted_on=quote.wanted_on,
        currency=quote.currency,
        kits=tuple(_kit(kit) for kit in kits),
        net=quote.net,
        tax_percent=quote.tax_percent,
        tax=quote.tax,
        gross=quote.gross,
    )
    return {"sheet": sheet}


def _kit(kit: QuoteKit) -> OfferKit:
    return OfferKit(
        title=kit.title,
        quantity=kit.quantity,
        lines=tuple(
            OfferLine(
                line.text, line.quantity, line.unit_price, money.line_net(line.quantity, line.unit_price)
            )
            for line in kit.lines.all()
        ),
        standard_price=kit.standard_price,
        difference=kit.difference,
        price=kit.price,
        net=money.line_net(kit.quantity, kit.price),
        verdict=kit.verdict,
        cautions=tuple(kit.record["cautions"]),
    )
