"""Alerts as CSV, for a spreadsheet: what each says, what waiting costs, and who suffers."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import date, datetime

from django.db.models import QuerySet
from django.http import StreamingHttpResponse
from django.utils import timezone

from inventory.models import Alert

from .models import Order, Quote
from .plain_csv import download, harmless, lines_of
from .suffering import Suffering, sufferers

HEADINGS = ("alert", "cause", "maker", "number", "name", "reason", "quantity", "supplier", "order_by",
            "hits_on", "cost_to_wait", "raised_at", "updated_at", "snoozed_until", "snooze_reason", "kits",
            "orders", "quotes")  # fmt: skip


def alerts_csv(alerts: QuerySet[Alert]) -> StreamingHttpResponse:
    """The answer to download, in the order of `alerts`; they come with their parts, makers and suppliers."""
    return download(csv_lines(list(alerts)), "alerts.csv")


def csv_lines(alerts: Sequence[Alert]) -> Iterator[str]:
    """The headings, then a line for each alert."""
    suffering = sufferers(alerts)
    return lines_of(HEADINGS, (_cells(alert, suffering[alert.pk]) for alert in alerts))


def _cells(alert: Alert, suffering: Suffering) -> list[str]:
    part = alert.part
    supplier = harmless(alert.supplier.code) if alert.supplier else ""
    days = [_text(alert.order_by), _text(alert.hits_on), f"{alert.cost_to_wait:.2f}"]
    times = [_text(alert.raised_at), _text(alert.updated_at), _text(alert.snoozed_until)]
    named = [alert.cause, *map(harmless, (part.maker.name, part.number, part.name, alert.reason))]
    who = [harmless(", ".join(suffering.kits)), _papers(suffering.orders), _papers(suffering.quotes)]
    why = harmless(alert.snooze_reason)
    return [str(alert.pk), *named, str(alert.quantity), supplier, *days, *times, why, *who]


def _papers(papers: Iterable[tuple[Order | Quote, date | None]]) -> str:
    """'S00012 2026-12-08, S00013'."""
    return ", ".join(f"{paper.number} {_text(day)}".strip() for paper, day in papers)


def _text(moment: date | None) -> str:
    """By ISO 8601, a time in the shop's zone."""
    if isinstance(moment, datetime):
        return timezone.localtime(moment).isoformat(timespec="seconds")
    return moment.isoformat() if moment else ""
