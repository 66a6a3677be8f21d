"""The lists of the buying desk as tables to download: plain decimals, ISO 8601 days, one row a line."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from django.utils import timezone

from inventory.alerting import open_alerts
from inventory.models import Part, PurchaseLine
from inventory.suggesting import suggestions
from shop.desks.buying.needs import asked, quiet_alerts, read_needs, with_names
from shop.desks.buying.paperwork import differences
from shop.plain_csv import harmless

Rows = Iterator[list[str]]
AT_ONCE = 500


@dataclass(frozen=True)
class Table:
    """Headings, and how its rows are read at a moment, by what the address asks for."""

    headings: tuple[str, ...]
    rows: Callable[[datetime, Mapping[str, str]], Rows]


def _alerts(now: datetime, typed: Mapping[str, str]) -> Rows:
    """All that are open, the dearest to wait first; then those that are snoozed."""
    cause, _ = asked(typed)
    for alerts in (open_alerts(now), quiet_alerts(now)):
        wanted = with_names(alerts.filter(cause=cause) if cause else alerts)
        for need in read_needs(wanted, now):
            one, suffering = need.alert, need.suffering
            yield [
                *_part(one.part),
                one.cause,
                *_texts(one.reason),
                str(one.quantity),
                *_texts(str(one.supplier or "")),
                _day(one.order_by),
                _day(one.hits_on),
                _money(one.cost_to_wait),
                *_texts(
                    " ".join(order.number for order, _ in suffering.orders),
                    " ".join(quote.number for quote, _ in suffering.quotes),
                    "; ".join(suffering.kits),
                ),
                _day(one.snoozed_until),
                *_texts(one.snooze_reason),
            ]


def _suggestions(now: datetime, _typed: Mapping[str, str]) -> Rows:
    for one in suggestions(now):
        for line in one.lines:
            yield [
                *_texts(one.supplier.name),
                _day(one.send_by),
                *_part(line.part),
                str(line.quantity),
                str(line.drafted),
                _money(line.price),
                _money(line.quantity * line.price),
                *_texts(line.why),
            ]


def _orders(_now: datetime, _typed: Mapping[str, str]) -> Rows:
    """A row for each line, the latest orders first."""
    lines = PurchaseLine.objects.select_related(
        "order__supplier", "order__made_by", "order__approved_by", "part__maker"
    ).order_by("-order_id", "pk")
    for line in lines.iterator(chunk_size=AT_ONCE):
        order = line.order
        yield [
            order.number,
            order.state,
            *_texts(order.supplier.name),
            *_part(line.part),
            "" if line.ordered is None else str(line.ordered),
            str(line.quantity),
            str(line.received),
            _money(line.price),
            _day(line.first_due),
            _day(line.due),
            _time(order.made_at),
            *_texts(str(order.made_by)),
            _time(order.approved_at),
            *_texts(str(order.approved_by or "")),
            _time(order.sent_at),
        ]


def _differences(_now: datetime, _typed: Mapping[str, str]) -> Rows:
    for one in differences().order_by("-pk").iterator(chunk_size=AT_ONCE):
        order, receipt = one.line.order, one.receipt
        yield [
            order.number,
            *_texts(order.supplier.name),
            *_texts(receipt.delivery_note if receipt else ""),
            *_part(one.line.part),
            one.kind,
            str(one.quantity),
            *_texts(one.note),
            _time(one.at),
            *_texts(str(one.by)),
            _time(one.settled_at),
            *_texts(str(one.settled_by or ""), one.settled_how),
        ]


_PART = ("part", "maker", "name")
TABLES = {
    "alerts": Table(
        (*_PART, "cause", "reason", "quantity", "supplier", "order_by", "hits_on", "cost_a_day", "orders",
         "quotes", "kits", "snoozed_until", "snooze_reason"),
        _alerts,
    ),
    "suggestions": Table(
        ("supplier", "send_by", *_PART, "quantity", "drafted", "price", "value", "why"), _suggestions
    ),
    "orders": Table(
        ("order", "state", "supplier", *_PART, "ordered", "quantity", "received", "price", "first_due", "due",
         "made_at", "made_by", "approved_at", "approved_by", "sent_at"),
        _orders,
    ),
    "differences": Table(
        ("order", "supplier", "delivery_note", *_PART, "kind", "quantity", "note", "at", "by", "settled_at",
         "settled_by", "settled_how"),
        _differences,
    ),
}  # fmt: skip


def _part(part: Part) -> list[str]:
    return _texts(part.number, part.maker.name, part.name)


def _texts(*texts: str) -> list[str]:
    return list(map(harmless, texts))


def _money(amount: Decimal) -> str:
    return f"{amount:.2f}"


def _day(on: date | None) -> str:
    return "" if on is None else on.isoformat()


def _time(at: datetime | None) -> str:
    return "" if at is None else timezone.localtime(at).isoformat(timespec="seconds")
