"""Who suffers from what buying is warned of: the kits that lack the part, the orders and quotes that wait."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.db.models import Q, Sum
from django.utils import timezone

from inventory.models import Alert, Demand, Reservation, ReservationLine
from kits.using import kits_with

from .models import Order, Quote
from .wants import days_kept, wants_by_quote

Cause = Alert.Cause
# Kits of which most went out in these days are named first.
REMEMBERED = timedelta(days=365)
# What lies here, and what would be cheaper, lets nobody wait.
NOBODY_WAITS = (Cause.DEAD_STOCK, Cause.PRICE_BREAK)


@dataclass(frozen=True)
class Suffering:
    """Names of kits, those first of which most went out with the part; orders and quotes, oldest first.

    With each the day on which it is expected now; None where nobody can say.
    """

    kits: tuple[str, ...]
    orders: tuple[tuple[Order, date | None], ...]
    quotes: tuple[tuple[Quote, date | None], ...]


def sufferers(alerts: Iterable[Alert]) -> dict[int, Suffering]:
    """By the id of an alert who suffers: a dozen queries for any number of alerts.

    A late delivery starves whoever is tied to it; a hold at risk is one quote's. Orders that wait with
    nothing kept suffer from every alert of a part that they are short of.
    """
    wanted = list(alerts)
    if not wanted:
        return {}
    now = timezone.now()
    parts = {alert.part_id for alert in wanted}
    kits = _kits(parts, timezone.localdate(now))
    waiting = _waiting(parts)
    tied = _tied(wanted, now)
    papers = _Papers([pk for reservations in tied.values() for pk in reservations], timezone.localdate(now))
    found = {}
    for alert in wanted:
        orders, quotes = papers.of(tied.get(alert.pk, ()))
        if alert.pk not in tied and alert.cause not in NOBODY_WAITS:
            orders = waiting.get(alert.part_id, ())
        found[alert.pk] = Suffering(kits.get(alert.part_id, ()), tuple(orders), tuple(quotes))
    return found


def _kits(parts: Collection[int], today: date) -> dict[int, tuple[str, ...]]:
    went_out: Counter[tuple[int, str]] = Counter()
    sold = Demand.objects.filter(part__in=parts, kind=Demand.Kind.KIT, day__gte=today - REMEMBERED)
    for part_id, kit, kits in (
        sold.exclude(kit="").order_by().values_list("part", "kit").annotate(Sum("kits"))
    ):
        went_out[part_id, kit] = kits
    return {
        part_id: tuple(
            template.name
            for template in sorted(templates, key=lambda one: (-went_out[part_id, one.code], one.name))
        )
        for part_id, templates in kits_with(parts).items()
    }


def _waiting(parts: Collection[int]) -> Mapping[int, Sequence[tuple[Order, date | None]]]:
    """By part, of those that orders are short of, the orders that wait for it with nothing kept."""
    told = Alert.objects.filter(part__in=parts, cause=Cause.ORDER_WAITS, cleared_at=None)
    short = set(told.order_by().values_list("part", flat=True))
    found: dict[int, list[tuple[Order, date | None]]] = defaultdict(list)
    if short:
        waits = Order.objects.filter(state=Order.State.WAITING, reservation=None).select_related("customer")
        orders = list(waits.order_by("accepted_at", "pk"))
        wants = wants_by_quote(order.quote_id for order in orders)
        for order in orders:
            for part_id in short & wants.get(order.quote_id, {}).keys():
                found[part_id].append((order, order.expected_on))
    return found


def _tied(alerts: Sequence[Alert], now: datetime) -> dict[int, list[int]]:
    """By alert the reservations that it is about: all that are tied to its delivery, or the one held."""
    held = {alert.pk: [alert.reservation_id] for alert in alerts if alert.reservation_id is not None}
    late = {alert.purchase_line_id: alert.pk for alert in alerts if alert.cause == Cause.LATE_LINE}
    runs = Q(reservation__until=None) | Q(reservation__until__gt=now)
    lines = ReservationLine.objects.filter(
        runs, purchase_line__in=[pk for pk in late if pk], reservation__state=Reservation.State.KEPT
    )
    found: dict[int, list[int]] = {pk: [] for pk in late.values()}
    for line, reservation in lines.order_by("reservation").values_list("purchase_line", "reservation"):
        found[late[line]].append(reservation)
    return found | held


class _Papers:
    """The orders and open quotes behind reservations, each with the day on which its parts are expected."""

    def __init__(self, reservations: Collection[int], today: date) -> None:
        self.orders: dict[int | None, Order] = {}
        self.quotes: dict[int | None, Quote] = {}
        self.days: dict[int, date] = {}
        if reservations:
            orders = Order.objects.filter(reservation__in=reservations).select_related("customer")
            quotes = Quote.objects.filter(reservation__in=reservations, state=Quote.State.OPEN)
            self.orders = {order.reservation_id: order for order in orders}
            self.quotes = {quote.reservation_id: quote for quote in quotes.select_related("customer")}
            self.days = days_kept([pk for pk in reservations if pk in self.quotes], today)

    def of(
        self, reservations: Iterable[int]
    ) -> tuple[Sequence[tuple[Order, date | None]], Sequence[tuple[Quote, date | None]]]:
        ids = list(reservations)
        orders = [self.orders[pk] for pk in ids if pk in self.orders]
        quotes = [(self.quotes[pk], self.days.get(pk)) for pk in ids if pk in self.quotes]
        return [(order, order.expected_on) for order in orders], quotes
