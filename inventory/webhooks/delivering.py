"""Delivers what is due, and tries again what was not taken, at growing distances.

Whoever takes a message up puts its next try off first, in a transaction of its own: two at once never send
the same, and one that died is tried again by others. That may be a second time; its id is the same then.
"""

from __future__ import annotations

import secrets
import threading
from datetime import datetime, timedelta

from django.conf import settings
from django.db import connection, transaction
from django.utils import timezone

from inventory.models import Webhook, WebhookMessage

from .posting import GONE, post

# Who takes a message up has an answer, or none, by then.
TAKEN_FOR = timedelta(minutes=2)
FIRST_AGAIN = timedelta(seconds=30)
GROWS_BY = 4
LONGEST_APART = timedelta(hours=12)
# The last is about two days after the first.
MOST_TRIES = 10
LONGEST_ANSWER = 200

State = WebhookMessage.State


def deliver_due(now: datetime | None = None) -> int:
    """Try every message that is due, oldest first; returns how many were delivered.

    A webhook that fails is left alone until the next time: it would fail for each of its messages.
    """
    delivered, failing = 0, set[int]()
    while (message := _take(now or timezone.now(), failing)) is not None:
        status, said = post(message, timezone.now())
        if _record(message, status, said, now or timezone.now()):
            delivered += 1
        else:
            failing.add(message.webhook_id)
    return delivered


def deliver_soon() -> None:
    """After a commit: by a worker, or beside the request where there is none. Nobody waits for it."""
    if not settings.CELERY_TASK_ALWAYS_EAGER:
        from inventory.tasks import deliver_webhooks

        deliver_webhooks.apply_async(retry=False)
        return
    _wanted.set()
    if _busy.acquire(blocking=False):
        threading.Thread(target=_beside, name="webhooks", daemon=True).start()


_wanted, _busy = threading.Event(), threading.Lock()


def _beside() -> None:
    try:
        while _wanted.is_set():
            _wanted.clear()
            deliver_due()
    finally:
        _busy.release()
        connection.close()


def _take(now: datetime, failing: set[int]) -> WebhookMessage | None:
    """The oldest that is due and that nobody else has, taken up by us."""
    due = WebhookMessage.objects.filter(state=State.DUE, next_try__lte=now, webhook__active=True)
    with transaction.atomic():
        message = (
            due.exclude(webhook__in=failing)
            .select_for_update(
                of=("self",), skip_locked=connection.features.has_select_for_update_skip_locked
            )
            .select_related("webhook")
            .order_by("pk")
            .first()
        )
        if message is not None:
            message.tries += 1
            message.next_try = now + TAKEN_FOR
            message.save(update_fields=["tries", "next_try"])
    return message


def _record(message: WebhookMessage, status: int, said: str, now: datetime) -> bool:
    """Write down what came of it. Another may have taken it up meanwhile: a delivered one stays so."""
    message.answer = said.replace("\0", "")[:LONGEST_ANSWER]  # PostgreSQL keeps none in a text.
    taken = 200 <= status < 300  # success, by HTTP
    if taken:
        message.state = State.DELIVERED
    elif status == GONE or message.tries >= MOST_TRIES:
        message.state = State.GIVEN_UP
    else:
        message.next_try = now + again_after(message.tries)
    with transaction.atomic():
        still = WebhookMessage.objects.filter(pk=message.pk).exclude(state=State.DELIVERED)
        still.update(state=message.state, next_try=message.next_try, answer=message.answer)
        if status == GONE:
            Webhook.objects.filter(pk=message.webhook_id).update(active=False)
            rest = WebhookMessage.objects.filter(webhook=message.webhook_id, state=State.DUE)
            rest.update(state=State.GIVEN_UP, answer="The webhook said that it is gone for good.")
    return taken


def again_after(tries: int) -> timedelta:
    """How long to wait after so many tries: each time longer, and never all at the same moment."""
    longest: timedelta = min(FIRST_AGAIN * GROWS_BY ** min(tries - 1, 10), LONGEST_APART)
    return longest * (0.75 + secrets.randbelow(501) / 1000)
