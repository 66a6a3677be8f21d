"""Notices to the counter: what its customers should hear of, until somebody at the counter has seen it."""

from __future__ import annotations

from datetime import datetime

from django.contrib.auth.models import User
from django.db.models import QuerySet
from django.utils import timezone

from inventory.acting import act

from .models import Notice, Order, Quote

LONGEST = 500


def notice(kind: Notice.Kind, about: Quote | Order, text: str, now: datetime) -> Notice:
    """Tell the counter. What it has not seen yet is brought up to date, what it has is not said again.

    Plain, in the caller's transaction. Two at once for one thing meet in the row of that thing, which
    acts lock before they change it.
    """
    of = {"order": about} if isinstance(about, Order) else {"quote": about}
    last = Notice.objects.filter(kind=kind, **of).first()
    text = text[:LONGEST]
    if last is None or (last.seen_at is not None and last.text != text):
        return Notice.objects.create(kind=kind, text=text, **of)
    if last.text != text:
        last.text, last.updated_at = text, now
        last.save(update_fields=["text", "updated_at"])
    return last


@act("shop.sell")
def seen(user: User, notice: Notice) -> Notice:
    """Somebody at the counter has read it; of two the first is remembered."""
    Notice.objects.filter(pk=notice.pk, seen_at=None).update(seen_at=timezone.now(), seen_by=user)
    notice.refresh_from_db()
    return notice


def unseen() -> QuerySet[Notice]:
    """What the counter has not seen yet, the newest first."""
    return Notice.objects.filter(seen_at__isnull=True).select_related("quote__customer", "order__customer")
