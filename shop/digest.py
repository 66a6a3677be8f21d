"""The digest: once a day a letter to whoever handles alerts, with what is open, what it costs, who suffers.

It goes out once whatever happens: every alert that it tells of is marked, under a lock, before the first
letter leaves, and a day on which one was told has had its digest. A mail server that cannot be reached is
found out before that, so that the day's digest is tried again.
"""

from __future__ import annotations

import logging
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time
from decimal import Decimal
from email.utils import parseaddr

from django.conf import settings
from django.contrib.auth.models import User
from django.core.mail import EmailMultiAlternatives, get_connection
from django.core.mail.backends.base import BaseEmailBackend
from django.db import transaction
from django.db.models import Q
from django.template.loader import render_to_string
from django.utils import timezone

from inventory.alerting import open_alerts
from inventory.models import Alert

from .suffering import Suffering, sufferers

# So many are told in full; the rest are counted, and read at the desk.
TOLD = 40

_log = logging.getLogger(__name__)


@dataclass(frozen=True)
class Told:
    """One alert as the letter tells it."""

    alert: Alert
    new: bool
    suffering: Suffering


@dataclass(frozen=True)
class Digest:
    """What one day's letters say: new alerts before those that were told before, the dearest first."""

    day: date
    told: tuple[Told, ...]
    alerts: int
    new: int
    a_day: Decimal

    @property
    def more(self) -> int:
        return self.alerts - len(self.told)

    @property
    def subject(self) -> str:
        alerts = "1 alert" if self.alerts == 1 else f"{self.alerts} alerts"
        costs = f", {self.a_day} {settings.SHOP_CURRENCY} a day" if self.a_day else ""
        return f"{settings.SHOP_NAME}: {alerts}, {self.new} new{costs}"


def send_digest(now: datetime) -> int:
    """Send the day's digest to everybody who handles alerts; returns how many letters left.

    None without anybody to tell, anything to say, or anywhere to send it, and no second one on one day.
    Raises what the mail server's connection raises when it cannot be reached: then nothing was marked.
    """
    people = readers()
    if not people or not settings.SHOP_MAILS or _told_today(now) or not open_alerts(now).exists():
        return 0
    with get_connection() as connection:
        digest = _marked(now)
        if digest is None:
            return 0
        letters = [_letter(digest, person) for person in people]
        return sum(_left(letter, connection) for letter in letters)


def readers() -> list[User]:
    """Whoever may handle alerts and has an e-mail address."""
    people = User.objects.with_perm(
        "inventory.handle_alerts", backend="django.contrib.auth.backends.ModelBackend"
    )
    return list(people.exclude(email="").order_by("pk"))


def _marked(now: datetime) -> Digest | None:
    """What there is to tell today, marked as told; None when it was told already, or there is nothing."""
    with transaction.atomic():
        due = open_alerts(now).filter(Q(mailed_at=None) | Q(mailed_at__lt=_midnight(now)))
        locked = list(due.order_by("pk").select_for_update(of=("self",)).values_list("pk", flat=True))
        # Asked for once the rows are ours: two at once come here one after the other.
        if not locked or _told_today(now):
            return None
        alerts = list(open_alerts(now).filter(pk__in=locked))
        Alert.objects.filter(pk__in=locked).update(mailed_at=now)
    alerts.sort(key=lambda alert: alert.mailed_at is not None)  # Within each, the dearest stay first.
    return _digest(alerts, timezone.localdate(now))


def _told_today(now: datetime) -> bool:
    return Alert.objects.filter(mailed_at__gte=_midnight(now)).exists()


def _midnight(now: datetime) -> datetime:
    return datetime.combine(timezone.localdate(now), time.min, timezone.get_current_timezone())


def _digest(alerts: Sequence[Alert], day: date) -> Digest:
    shown = alerts[:TOLD]
    suffering = sufferers(shown)
    return Digest(
        day=day,
        told=tuple(Told(alert, alert.mailed_at is None, suffering[alert.pk]) for alert in shown),
        alerts=len(alerts),
        new=sum(alert.mailed_at is None for alert in alerts),
        a_day=sum((alert.cost_to_wait for alert in alerts), Decimal(0)),
    )


def _letter(digest: Digest, person: User) -> EmailMultiAlternatives:
    context = {
        "digest": digest,
        "person": person.get_short_name() or person.get_username(),
        "shop": settings.SHOP_NAME,
        "address": settings.SHOP_ADDRESS,
    }
    domain = parseaddr(settings.DEFAULT_FROM_EMAIL)[1].rpartition("@")[2] or "localhost"
    letter = EmailMultiAlternatives(
        subject=digest.subject,
        body=render_to_string("letters/digest.txt", context),
        to=[person.email],
        headers={
            # A copy has the same, and is known as one; and no answer is wanted (RFC 3834).
            "Message-ID": f"<digest-{digest.day:%Y-%m-%d}-{person.pk}@{domain}>",
            "Auto-Submitted": "auto-generated",
        },
    )
    letter.attach_alternative(render_to_string("letters/digest.html", context), "text/html")
    return letter


def _left(letter: EmailMultiAlternatives, connection: BaseEmailBackend) -> bool:
    """Send one; an address that is refused keeps the letter from nobody else."""
    letter.connection = connection
    try:
        return bool(letter.send())
    except OSError:  # Of smtplib as well.
        _log.exception("The digest to %s did not leave.", letter.to[0])
        return False
