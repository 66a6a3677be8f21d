"""Makes the open alerts be what was found, and tells other systems of what changed by that."""

from collections.abc import Collection, Iterable, Sequence
from datetime import date, datetime
from typing import Any

from django.utils import timezone

from inventory.models import Alert
from inventory.webhooks import CHANGED, CLEARED, RAISED, tell

# One open alert for each part, cause and what it is about.
Key = tuple[int, str, str]
_TOLD = ("reason", "quantity", "supplier_id", "purchase_line_id", "reservation_id", "order_by", "hits_on",
         "cost_to_wait")  # fmt: skip
_LONGEST = 300


def write(
    part_ids: Sequence[int], causes: Collection[Alert.Cause], found: Iterable[Alert], now: datetime
) -> None:
    """Make the open alerts of these parts for these causes be `found`. Runs in a transaction.

    Somebody else may raise the same alert at this moment: the constraint keeps one of the two, and the
    name of the message that tells of it is the same.
    """
    wanted = {_key(alert): alert for alert in found}
    opened = Alert.objects.filter(part_id__in=part_ids, cause__in=causes, cleared_at=None)
    known = {_key(alert): alert for alert in opened.select_for_update(of=("self",)).order_by("pk")}
    over = [alert for key, alert in known.items() if key not in wanted]
    new = [key for key in sorted(wanted) if key not in known]
    changed = [alert for key, alert in known.items() if key in wanted and _update(alert, wanted[key], now)]
    _clear(over, now)
    _raise([wanted[key] for key in new])
    Alert.objects.bulk_update(changed, [name.removesuffix("_id") for name in _TOLD] + ["updated_at"])
    # Without news nothing more is asked.
    events = [(CLEARED, alert.pk) for alert in over] + [(CHANGED, alert.pk) for alert in changed]
    if new:
        there = opened.filter(part_id__in={part_id for part_id, _, _ in new}).order_by("pk")
        keys = set(new)
        events += [(RAISED, alert.pk) for alert in there if _key(alert) in keys]
    tell(events, now)


def _key(alert: Alert) -> Key:
    return alert.part_id, str(alert.cause), alert.about


def _clear(alerts: list[Alert], now: datetime) -> None:
    if alerts:
        Alert.objects.filter(pk__in=[alert.pk for alert in alerts]).update(cleared_at=now, updated_at=now)


def _raise(alerts: list[Alert]) -> None:
    for alert in alerts:
        alert.reason = alert.reason[:_LONGEST]
    Alert.objects.bulk_create(alerts, ignore_conflicts=True)


def _update(alert: Alert, new: Alert, now: datetime) -> bool:
    """Let an open alert say what the new one says; False if it says so already."""
    before = _told(alert)
    today = timezone.localdate(now)
    said: dict[str, Any] = {name: getattr(new, name) for name in _TOLD}
    said["reason"] = said["reason"][:_LONGEST]
    for name in ("order_by", "hits_on"):
        said[name] = _day(getattr(alert, name), said[name], today)
    for name, value in said.items():
        setattr(alert, name, value)
    alert.updated_at = now
    return _told(alert) != before


def _day(old: date | None, new: date | None, today: date) -> date | None:
    """A day that has come stays what it was: it does not move on with the calendar."""
    return old if old is not None and new is not None and old <= today and new <= today else new


def _told(alert: Alert) -> tuple[Any, ...]:
    return tuple(getattr(alert, name) for name in _TOLD)
