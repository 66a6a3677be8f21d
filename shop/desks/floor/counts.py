"""Counting on the floor: the rounds there are, and one round line by line, blind, on a telephone."""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import cached_property
from typing import Any

from django.contrib import messages
from django.db.models import Count, Q
from django.http import QueryDict
from django.shortcuts import get_object_or_404
from django.urls import reverse

from inventory.acting import ActError
from inventory.corrections import OPEN_STATES, UNSETTLED_STATES
from inventory.models import CountLine, CountRound, Place
from inventory.recounting import others_may_count
from inventory.rounds import MOST_LINES, enter_count, leave_line, make_due_round, make_round
from shop.desks.page import DeskPage, Sheet
from shop.desks.rights import COUNT
from shop.desks.typed import needed, text, whole

DONE_SHOWN = 8

SAID = {
    CountLine.State.AGREES: "counted, and the ledger agrees.",
    CountLine.State.CORRECTED: "counted; the ledger is corrected.",
    CountLine.State.AGAIN: "written down, and to be counted again.",
    CountLine.State.TO_APPROVE: "written down. The difference waits for approval.",
}


class CountRounds(DeskPage):
    """The open rounds; a new one of what is due, or of places that somebody names."""

    template_name = "desks/floor/counts.html"
    rights = COUNT
    acts = ("due", "places")

    def sheet(self) -> Sheet:
        return Sheet("Counting", "2-2")

    def context(self) -> dict[str, Any]:
        unsettled = Q(lines__state__in=UNSETTLED_STATES)
        rounds = CountRound.objects.select_related("made_by").annotate(
            all=Count("lines"), left=Count("lines", filter=unsettled)
        )
        return {
            "open": rounds.filter(state=CountRound.State.OPEN).order_by("pk"),
            "done": rounds.filter(state=CountRound.State.DONE)[:DONE_SHOWN],
            "most": MOST_LINES,
        }

    def do_due(self, typed: QueryDict) -> str:
        made = make_due_round(self.user, whole(typed, "most", "How many lines"))
        return reverse("count-round", args=[made.pk])

    def do_places(self, typed: QueryDict) -> str:
        places = _places(re.split(r"[\s,;]+", needed(typed, "places", "The place")))
        why = needed(typed, "why", "The reason")
        return reverse("count-round", args=[make_round(self.user, why, places=places).pk])


class CountSheet(DeskPage):
    """For a telephone in one hand: the next place large, one field for the number found."""

    template_name = "desks/floor/count.html"
    rights = COUNT
    acts = ("enter", "leave")

    @cached_property
    def round(self) -> CountRound:
        return get_object_or_404(CountRound, pk=self.kwargs["pk"])

    def sheet(self) -> Sheet:
        return Sheet("Count", self.round.number)

    def context(self) -> dict[str, Any]:
        lines = list(
            self.round.lines.select_related("part__maker", "place", "lot").prefetch_related("entries")
        )
        mine = [line for line in lines if self._for_me(line)]
        asked_for = text(self.request.GET, "line") or text(self.request.POST, "line")
        return {
            "round": self.round,
            "lines": [(line, self._result(line)) for line in lines],
            "next": next((line for line in mine if str(line.sequence) == asked_for), None)
            or next(iter(mine), None),
            "mine": {line.pk for line in mine},
            "done": sum(line.state not in UNSETTLED_STATES for line in lines),
            "again": any(line.state == CountLine.State.AGAIN for line in lines),
        }

    @cached_property
    def _alone(self) -> bool:
        return not others_may_count(self.user)

    def _for_me(self, line: CountLine) -> bool:
        """Open, and last counted by somebody else, unless nobody else may count."""
        by = [entry.by_id for entry in line.entries.all()]
        return line.state in OPEN_STATES and (self._alone or by[-1:] != [self.user.pk])

    def _result(self, line: CountLine) -> str:
        """What came of a line, and nothing before: counting is blind."""
        entries = list(line.entries.all())
        if line.state in OPEN_STATES or not entries:
            return ""
        difference = entries[-1].difference
        return f"{entries[-1].found} found" + (f", off by {difference:+d}" if difference else "")

    def do_enter(self, typed: QueryDict) -> str:
        line = enter_count(self.user, self._line(typed), whole(typed, "found", "The number", least=0))
        messages.success(
            self.request, f"{line.place}, {line.part.number}: {SAID[CountLine.State(line.state)]}"
        )
        return reverse("count-round", args=[self.round.pk])

    def do_leave(self, typed: QueryDict) -> str:
        line = leave_line(self.user, self._line(typed), needed(typed, "reason", "The reason"))
        messages.success(self.request, f"{line.place}, {line.part.number}: left as it was.")
        return reverse("count-round", args=[self.round.pk])

    def _line(self, typed: QueryDict) -> CountLine:
        return get_object_or_404(
            CountLine, round=self.round, sequence=whole(typed, "line", "The line of the round")
        )


def _places(codes: Sequence[str]) -> list[Place]:
    found: list[Place] = []
    for code in filter(None, codes):
        place = Place.objects.filter(code__iexact=code, kind__in=Place.INSIDE).first()
        if place is None:
            raise ActError(f"There is no place {code!r} in the shop.", code="no-such-place")
        found.append(place)
    return found
