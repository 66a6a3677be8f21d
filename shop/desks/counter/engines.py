"""Naming the engine, and which conversions exist for it."""

from __future__ import annotations

from functools import cached_property
from typing import Any

from django.http import QueryDict
from django.shortcuts import get_object_or_404
from django.urls import reverse

from kits.customising import conversions_for, open_kit
from kits.models import Engine, KitTemplate
from shop.desks.counter.finding import find_engines, find_quotes, waiting_orders
from shop.desks.page import DeskPage, Sheet
from shop.desks.rights import SELL
from shop.desks.typed import label, text, whole, words
from shop.models import Notice
from shop.noticing import seen, unseen


class Counter(DeskPage):
    """The first question on the telephone: which engine is it?"""

    template_name = "desks/counter/counter.html"
    rights = SELL
    acts = ("seen",)

    def sheet(self) -> Sheet:
        return Sheet("Which engine?", "1-1")

    def context(self) -> dict[str, Any]:
        return {
            "engines": find_engines(words(self.request.GET, "engine")),
            "quotes": find_quotes(words(self.request.GET, "paper")),
            "waiting": waiting_orders(),
            "notices": unseen(),
        }

    def do_seen(self, typed: QueryDict) -> str:
        """Somebody has read a notice."""
        number = whole(typed, "notice", "The notice")
        seen(self.user, get_object_or_404(Notice, pk=number))
        return reverse("counter")


class EngineSheet(DeskPage):
    template_name = "desks/counter/engine.html"
    rights = SELL
    acts = ("open",)

    @cached_property
    def engine(self) -> Engine:
        return get_object_or_404(Engine.objects.select_related("family"), code=self.kwargs["code"])

    def sheet(self) -> Sheet:
        return Sheet(str(self.engine), f"1-2-{self.engine.pk}")

    def context(self) -> dict[str, Any]:
        return {
            "engine": self.engine,
            "attributes": self.engine.attributes.all(),
            "features": self.engine.features.select_related("kind"),
            "originals": self.engine.original_parts.select_related("part__maker"),
            "conversions": conversions_for(self.engine),
        }

    def do_open(self, typed: QueryDict) -> str:
        template = get_object_or_404(KitTemplate, code=text(typed, "template"))
        kit = open_kit(self.user, template, self.engine, label(typed, "note", "The note", most=200))
        return reverse("kit", args=[kit.pk])
