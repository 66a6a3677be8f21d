"""What the stock is worth, now or at the end of a day: for whoever buys."""

from __future__ import annotations

from datetime import datetime, time, timedelta
from typing import Any

from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.utils import timezone

from inventory.acting import ActError
from shop.desks.page import DeskPage, Sheet
from shop.desks.typed import Unreadable, maybe_day
from shop.stock_value import value_csv, valued

MOST = 300


class StockValue(DeskPage):
    """The parts that are worth most come first; the file has all of them."""

    template_name = "desks/stock_value.html"
    rights = ("inventory.buy",)
    when: datetime | None = None

    def sheet(self) -> Sheet:
        return Sheet("Value of stock", "4-3")

    def get(self, request: HttpRequest, **_: Any) -> HttpResponse:
        try:
            self.when = self.asked()
        except ActError as refusal:
            return self.page(request, typed=request.GET, refusal=refusal)
        return self.page(request, typed=request.GET)

    def asked(self) -> datetime:
        """The end of the day that is asked for; now, for today or for none."""
        now = timezone.now()
        today = timezone.localdate(now)
        on = maybe_day(self.request.GET, "on", "The day") or today
        if on > today:
            raise Unreadable(f"{on} has not come yet: choose today or an earlier day.", field="on")
        if on == today:
            return now
        next_day = datetime.combine(on + timedelta(days=1), time.min)
        return timezone.make_aware(next_day) - timedelta(microseconds=1)

    def context(self) -> dict[str, Any]:
        if self.when is None:
            return {}
        rows, many, total = valued(self.when, most=MOST)
        return {
            "when": self.when,
            "is_now": timezone.localdate(self.when) == timezone.localdate(),
            "rows": rows,
            "more": many - len(rows),
            "total": total,
        }


class StockValueFile(StockValue):
    """The same as CSV; where the day cannot be read, the page says why."""

    def get(self, request: HttpRequest, **_: Any) -> HttpResponseBase:  # type: ignore[override]  # it streams
        try:
            when = self.asked()
        except ActError:
            return super().get(request)
        return value_csv(when)
