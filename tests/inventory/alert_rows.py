"""Rows of alerts and webhooks, and how each of their constraints is broken."""

from collections.abc import Callable
from datetime import date
from decimal import Decimal
from typing import Any

from django.utils import timezone

from inventory.models import Alert, Webhook, WebhookMessage
from inventory.webhooks import new_secret
from tests.inventory.builders import a_part


def an_alert(**values: Any) -> dict[str, Any]:
    return {
        "part": a_part(),
        "cause": Alert.Cause.ORDER_WAITS,
        "reason": "test",
        "quantity": 1,
        "order_by": date(2026, 1, 1),
    } | values


def _twice() -> None:
    row = an_alert()
    Alert.objects.create(**row)
    Alert.objects.create(**row)


def _told_twice() -> None:
    webhook = Webhook.objects.create(url="https://hear.example/", secret=new_secret())
    for _ in range(2):
        WebhookMessage.objects.create(
            webhook=webhook, name="alert-1-raised", body={}, next_try=timezone.now()
        )


ALERT_BREAKS: dict[str, Callable[[], Any]] = {
    "one_open_alert_per_cause": _twice,
    "alert_asks_for_something": lambda: Alert.objects.create(**an_alert(quantity=0)),
    "waiting_costs_not_less_than_none": lambda: Alert.objects.create(**an_alert(cost_to_wait=Decimal(-1))),
    "alert_is_snoozed_by_somebody_for_a_reason": lambda: Alert.objects.create(
        **an_alert(snoozed_until=date(2026, 1, 2))
    ),
    "webhook_secret_is_one": lambda: Webhook.objects.create(url="https://hear.example/", secret="mine"),
    "webhook_message_once": _told_twice,
}
