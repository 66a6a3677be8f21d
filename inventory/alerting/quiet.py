"""Which alerts are to be read now; and those that somebody has put aside until a day."""

from datetime import date, datetime

from django.contrib.auth.models import User
from django.db.models import F, Q, QuerySet
from django.utils import timezone

from inventory.acting import ActError, Conflict, act
from inventory.models import Alert
from inventory.webhooks import CHANGED, tell


def open_alerts(now: datetime, *, snoozed: bool = False) -> QuerySet[Alert]:
    """The alerts to act on, dearest to wait first; with `snoozed` those instead that are quiet until a day.

    By the clock: one whose day has come is heard again, though nobody woke it.
    """
    quiet = Q(snoozed_until__gt=timezone.localdate(now))
    opened = Alert.objects.filter(quiet if snoozed else ~quiet | Q(snoozed_until=None), cleared_at=None)
    soonest = F("hits_on").asc(nulls_last=True)
    return opened.select_related("part__maker", "supplier").order_by(
        "-cost_to_wait", soonest, "order_by", "pk"
    )


@act("inventory.handle_alerts")
def snooze(user: User, alert: Alert, until: date, reason: str) -> Alert:
    """Leave it until a day after today; it is updated and cleared like any other meanwhile.

    Raises ActError "reason-needed" or "until-is-past", and Conflict when it is cleared already.
    """
    now = timezone.now()
    if not reason.strip():
        raise ActError("Say why it can wait: whoever looks next will ask.", code="reason-needed")
    if until <= timezone.localdate(now):
        raise ActError(
            f"Leave it until a day after today, not until {until:%-d %b %Y}.", code="until-is-past"
        )
    alert = _locked(alert)
    alert.snoozed_until, alert.snoozed_by, alert.snooze_reason = until, user, reason.strip()[:200]
    return _changed(alert, now)


@act("inventory.handle_alerts")
def wake(_user: User, alert: Alert) -> Alert:
    """Hear of it again from now on. One that is not snoozed is returned as it is."""
    alert = _locked(alert)
    if alert.snoozed_until is None:
        return alert
    alert.snoozed_until, alert.snoozed_by, alert.snooze_reason = None, None, ""
    return _changed(alert, timezone.now())


def _locked(alert: Alert) -> Alert:
    current = Alert.objects.select_for_update(of=("self",)).select_related("part__maker", "supplier")
    alert = current.get(pk=alert.pk)
    if alert.cleared_at is not None:
        raise Conflict(f"{alert} is over since {timezone.localtime(alert.cleared_at):%-d %b %Y %H:%M}.")
    return alert


def _changed(alert: Alert, now: datetime) -> Alert:
    alert.updated_at = now
    alert.save(update_fields=["snoozed_until", "snoozed_by", "snooze_reason", "updated_at"])
    tell([(CHANGED, alert.pk)], now)
    return alert
