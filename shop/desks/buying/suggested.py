"""Orders that the alerts add up to, by supplier, as a form: the buyer ticks lines and changes quantities."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.http import QueryDict
from django.shortcuts import get_object_or_404
from django.utils import timezone

from inventory.acting import ActError
from inventory.models import Part, Supplier
from inventory.suggesting import SuggestedLine, Suggestion, suggestions
from shop.desks.typed import text, whole


@dataclass(frozen=True)
class OfferedLine:
    """A suggested line as its fields show it: ticked or not, and the quantity as it stands in its field."""

    line: SuggestedLine
    ticked: bool
    quantity: str

    @property
    def is_drafted(self) -> bool:
        """All of it is in a draft already."""
        return drafted(self.line)


def drafted(line: SuggestedLine) -> bool:
    return line.drafted >= line.quantity


@dataclass(frozen=True)
class Proposed:
    """A suggested order to one supplier; `typed` when somebody has sent it and it was refused."""

    suggestion: Suggestion
    lines: Sequence[OfferedLine]
    today: date

    @property
    def late(self) -> bool:
        """It should have left before today."""
        return self.suggestion.send_by < self.today

    @property
    def anchor(self) -> str:
        return f"order-from-{self.suggestion.supplier.pk}"


def proposed(now: datetime, typed: QueryDict) -> list[Proposed]:
    """What is not drafted yet, the first to send first, with what was typed still in its fields."""
    return [
        Proposed(one, [_offered(one, line, typed) for line in one.lines], timezone.localdate(now))
        for one in suggestions(now)
        if not all(map(drafted, one.lines))
    ]


def _offered(suggestion: Suggestion, line: SuggestedLine, typed: QueryDict) -> OfferedLine:
    if text(typed, "do") != "draft" or text(typed, "supplier") != str(suggestion.supplier.pk):
        return OfferedLine(line, ticked=not drafted(line), quantity=str(line.quantity))
    return OfferedLine(
        line,
        ticked=str(line.part.pk) in typed.getlist("line"),
        quantity=typed.get(f"quantity-{line.part.pk}", ""),
    )


def wanted(typed: QueryDict) -> tuple[Supplier, dict[int, int]]:
    """The supplier and the ticked quantities by part id, or an ActError that says what to tick or type."""
    supplier = get_object_or_404(Supplier, pk=whole(typed, "supplier", "The supplier"))
    ticked = [int(pk) for pk in typed.getlist("line") if pk.isascii() and pk.isdigit() and len(pk) < 19]
    parts = Part.objects.in_bulk(ticked)
    if not parts:
        raise ActError(f"No line of {supplier} is ticked: tick what is to be ordered.", code="nothing-ticked")
    return supplier, {
        part.pk: whole(typed, f"quantity-{part.pk}", f"The quantity of {part.number}")
        for part in parts.values()
    }
