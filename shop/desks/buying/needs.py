"""What needs the buyer today: alerts, the dearest to wait first, with what suffers; those left for later."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

from django.db.models import Count, QuerySet
from django.utils import timezone

from inventory.alerting import open_alerts
from inventory.models import Alert, PurchaseLine, PurchaseOrder
from shop.desks.typed import text
from shop.suffering import Suffering, sufferers

SHOWN, MOST = 12, 300
NOBODY = Suffering(kits=(), orders=(), quotes=())
# Shown when they are asked for: nobody waits for them, and where something is to be ordered anyway, the
# suggestion takes up the lower price.
FOR_A_QUIET_HOUR = (Alert.Cause.DEAD_STOCK, Alert.Cause.PRICE_BREAK)
# So many sufferers of one alert are named; the rest are counted.
NAMED = 4


@dataclass(frozen=True)
class Need:
    """One alert as the desk reads it on a day; `written` is an order for it that has not gone yet."""

    alert: Alert
    suffering: Suffering
    today: date
    written: PurchaseOrder | None

    @property
    def days_left(self) -> int | None:
        """Until it is felt; None where nobody knows the day."""
        return None if self.alert.hits_on is None else (self.alert.hits_on - self.today).days

    @property
    def late(self) -> bool:
        """It should have been dealt with before today."""
        return self.alert.order_by < self.today

    @property
    def tomorrow(self) -> date:
        """The first day until which it can be left."""
        return self.today + timedelta(days=1)

    @property
    def orders_something(self) -> bool:
        return bool(self.alert.quantity) and self.alert.supplier_id is not None

    @property
    def money(self) -> Decimal | None:
        """What a day costs; None where it costs nothing yet."""
        return self.alert.cost_to_wait or None

    @property
    def somebody_suffers(self) -> bool:
        """What only lies here is in kits as well, but none lacks it."""
        suffering = self.suffering
        named = suffering.orders or suffering.quotes or suffering.kits
        return bool(named) and self.alert.cause not in FOR_A_QUIET_HOUR

    @property
    def more_orders(self) -> int:
        """Beyond those that are named."""
        return max(len(self.suffering.orders) - NAMED, 0)

    @property
    def more_kits(self) -> int:
        """Beyond those that are named."""
        return max(len(self.suffering.kits) - NAMED, 0)


@dataclass(frozen=True)
class Cause:
    """A cause to filter by, and how many alerts have it."""

    code: str
    name: str
    alerts: int


def needs(now: datetime, typed: Mapping[str, str]) -> dict[str, Any]:
    """What the list of alerts shows: at most SHOWN unless all are asked for."""
    cause, all_of_them = asked(typed)
    loud = open_alerts(now)
    causes = _causes(loud)
    pressing = sum(one.alerts for one in causes if one.code not in FOR_A_QUIET_HOUR)
    many = sum(one.alerts for one in causes if one.code == cause) if cause else pressing
    shown = list(with_names(of_cause(loud, cause))[: MOST if all_of_them else SHOWN])
    sent = text(typed, "alert") if text(typed, "do") == "snooze" else ""
    return {
        "needs": read_needs(shown, now),
        # A refusal stands in the form that was sent, where that is still shown.
        "typed_for_one": any(str(alert.pk) == sent for alert in shown),
        "causes": causes,
        "cause": cause,
        "all_of_them": all_of_them,
        "many": many,
        "pressing": pressing,
        "quiet": list(quiet_alerts(now)),
    }


def asked(typed: Mapping[str, str]) -> tuple[str, bool]:
    """The cause to filter by, or empty, and whether all alerts are to be shown."""
    cause = text(typed, "cause")
    return (cause if cause in Alert.Cause.values else ""), bool(text(typed, "all"))


def of_cause(alerts: QuerySet[Alert], cause: str) -> QuerySet[Alert]:
    """Those of this cause; without one, all that press."""
    return alerts.filter(cause=cause) if cause else alerts.exclude(cause__in=FOR_A_QUIET_HOUR)


def read_needs(alerts: Iterable[Alert], now: datetime) -> list[Need]:
    """In the same order, with who suffers: a few queries however many there are."""
    alerts = list(alerts)
    suffering, today, written = sufferers(alerts), timezone.localdate(now), _written(alerts)
    return [
        Need(alert, suffering.get(alert.pk, NOBODY), today, written.get(alert.part_id)) for alert in alerts
    ]


def _written(alerts: Iterable[Alert]) -> dict[int, PurchaseOrder]:
    """By part an order that asks for it and has not gone yet."""
    state = PurchaseOrder.State
    lines = PurchaseLine.objects.filter(
        part__in=[alert.part_id for alert in alerts if alert.quantity],
        order__state__in=[state.DRAFT, state.APPROVED],
    )
    return {line.part_id: line.order for line in lines.select_related("order").order_by("-pk")}


def with_names(alerts: QuerySet[Alert]) -> QuerySet[Alert]:
    return alerts.select_related(
        "part__maker", "supplier", "snoozed_by", "purchase_line__order__supplier", "reservation"
    )


def quiet_alerts(now: datetime) -> QuerySet[Alert]:
    """Those that somebody has snoozed, the next to wake first."""
    return with_names(open_alerts(now, snoozed=True)).order_by("snoozed_until", "pk")


def _causes(alerts: QuerySet[Alert]) -> list[Cause]:
    counted = dict(alerts.order_by().values_list("cause").annotate(Count("pk")))
    return [Cause(code, name, counted[code]) for code, name in Alert.Cause.choices if code in counted]
