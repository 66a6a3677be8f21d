"""What the stock was worth at a moment, with the names of the parts, and as CSV; the most valuable first."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from django.http import StreamingHttpResponse
from django.utils import timezone

from inventory.models import Lot, Part
from inventory.valuing import Worth, most_valuable

from .plain_csv import download, harmless, lines_of

HEADINGS = ("at", "part", "maker", "name", "lot", "pieces", "average", "value")


@dataclass(frozen=True)
class Valued:
    """One part at the moment, or one lot of a part whose lots cost by themselves; `lot` is its code."""

    part: Part
    lot: str
    pieces: int
    value: Decimal

    @property
    def average(self) -> Decimal | None:
        """Of one piece; None where there is none."""
        return self.value / self.pieces if self.pieces else None


def valued(when: datetime, *, most: int | None = None) -> tuple[list[Valued], int, Decimal]:
    """The most valuable rows, at most so many; how many there are in all; what all are worth together."""
    found, many, total = most_valuable(when, most)
    return _named(found), many, total


def _named(found: Sequence[Worth]) -> list[Valued]:
    parts = Part.objects.select_related("maker").in_bulk({one.part_id for one in found})
    ids = {one.lot_id for one in found if one.lot_id is not None}
    lots: dict[int | None, str] = {None: "", **dict(Lot.objects.filter(pk__in=ids).values_list("pk", "code"))}
    return [Valued(parts[one.part_id], lots[one.lot_id], one.on_hand, one.value) for one in found]


def value_csv(when: datetime) -> StreamingHttpResponse:
    """All rows to download; money in plain decimals, the time as ISO 8601 in the shop's time zone."""
    at = timezone.localtime(when)
    return download(lines_of(HEADINGS, _rows(at)), f"stock-value-{at:%Y-%m-%d}.csv")


def _rows(at: datetime) -> Iterator[list[str]]:
    for one in valued(at)[0]:
        texts = (one.part.number, one.part.maker.name, one.part.name, one.lot)
        average = "" if one.average is None else f"{one.average:.4f}"
        yield [at.isoformat(timespec="seconds"), *map(harmless, texts), str(one.pieces), average,
               f"{one.value:.4f}"]  # fmt: skip
