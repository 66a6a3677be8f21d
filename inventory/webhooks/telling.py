"""Writes the messages, in the transaction of what they tell of."""

from __future__ import annotations

import base64
import secrets
from collections.abc import Sequence
from datetime import datetime
from typing import Any

from django.db import transaction

from inventory.models import Alert, Webhook, WebhookMessage

from .delivering import deliver_soon

RAISED, CHANGED, CLEARED = "raised", "changed", "cleared"
AT_ONCE = 1000
SECRET_BYTES = 32


def new_secret() -> str:
    """What signs the messages to one webhook, as both sides keep it."""
    return f"whsec_{base64.b64encode(secrets.token_bytes(SECRET_BYTES)).decode()}"


def tell(events: Sequence[tuple[str, int]], now: datetime) -> None:
    """Tell every active webhook what became of alerts: `events` are what happened, and the alert's id.

    The name of a message says what it tells, so whoever tells the same again tells nothing.
    """
    webhooks = list(Webhook.objects.filter(active=True)) if events else []
    if not webhooks:
        return
    for start in range(0, len(events), AT_ONCE):
        some = events[start : start + AT_ONCE]
        alerts = Alert.objects.select_related("part__maker", "supplier").in_bulk([pk for _, pk in some])
        WebhookMessage.objects.bulk_create(
            [
                WebhookMessage(
                    webhook=webhook,
                    name=_name(what, alerts[pk]),
                    body=_body(what, alerts[pk], now),
                    next_try=now,
                )
                for what, pk in some
                for webhook in webhooks
            ],
            ignore_conflicts=True,
        )
    transaction.on_commit(deliver_soon, robust=True)


def _name(what: str, alert: Alert) -> str:
    if what != CHANGED:
        return f"alert-{alert.pk}-{what}"
    return f"alert-{alert.pk}-{what}-{int(alert.updated_at.timestamp() * 1_000_000)}"


def _body(what: str, alert: Alert, now: datetime) -> dict[str, Any]:
    return {"type": f"alert.{what}", "timestamp": now.isoformat(), "data": _data(alert)}


def _data(alert: Alert) -> dict[str, Any]:
    """The alert in plain JSON: money as text, days and times by ISO 8601."""
    part = alert.part
    return {
        "id": alert.pk,
        "part": {"id": part.pk, "maker": part.maker.code, "number": part.number, "name": part.name},
        "cause": alert.cause,
        "reason": alert.reason,
        "quantity": alert.quantity,
        "supplier": alert.supplier.code if alert.supplier else None,
        "purchase_line": alert.purchase_line_id,
        "order_by": alert.order_by.isoformat(),
        "hits_on": alert.hits_on.isoformat() if alert.hits_on else None,
        "cost_to_wait": f"{alert.cost_to_wait:.2f}",
        "raised_at": alert.raised_at.isoformat(),
        "cleared_at": alert.cleared_at.isoformat() if alert.cleared_at else None,
        "snoozed_until": alert.snoozed_until.isoformat() if alert.snoozed_until else None,
    }
