"""How many whole kits could ship: for the counter, which sells them, and for buying, which fills gaps."""

from __future__ import annotations

from typing import Any

from django.utils import timezone

from inventory.acting import ActError
from inventory.planning import PlanningError
from kits.buildable import NoSuchConversion
from kits.how_many import DAYS_AHEAD, KITS, MONEY, Overview, overview
from kits.models import Engine, KitTemplate, TemplateRevision
from shop.desks.page import DeskPage, Sheet
from shop.desks.rights import BUY, SELL
from shop.desks.typed import maybe_day, text, words

AHEAD = tuple(f"In {days} days" if days else "Today" for days in DAYS_AHEAD)


class HowMany(DeskPage):
    """The sheet comes at once and asks for the count by itself: in a large shop that takes seconds."""

    template_name = "desks/how_many.html"
    rights = (*BUY, *SELL)

    def sheet(self) -> Sheet:
        return Sheet("How many kits", "4-2")

    def context(self) -> dict[str, Any]:
        released = TemplateRevision.State.RELEASED
        context: dict[str, Any] = {
            "templates": KitTemplate.objects.filter(revisions__state=released).order_by("name"),
            "engines": Engine.objects.filter(revisions__state=released).order_by("code").distinct(),
        }
        if "count" not in self.request.GET:
            return context
        try:
            found = self._counted()
        except (ActError, NoSuchConversion, PlanningError) as error:
            return {**context, "cannot": str(error)}
        by_day = [
            dict(zip(AHEAD, kits, strict=True))
            for kits in zip(*(one.kits for one in found.ahead), strict=True)
        ]
        rows = [{"one": one, "ahead": kits} for one, kits in zip(found.day.counted, by_day, strict=True)]
        return {**context, "day": found.day, "rows": rows, "ahead": AHEAD}

    def _counted(self) -> Overview:
        asked = self.request.GET
        on = maybe_day(asked, "on", "The day")
        most = MONEY if text(asked, "most") == MONEY else KITS
        return overview(timezone.now(), words(asked, "template"), words(asked, "engine"), on, most)
