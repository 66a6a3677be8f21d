"""Into which sorts the demand of a part is told apart, by words and by patterns, and what is left out."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from enum import Enum
from typing import Literal

from inventory.models import Demand

Every = Literal["month", "week"]


class Sort(Enum):
    """Of each piece one holds; the order is that of a column from the foot up. What came back hangs below."""

    BEFORE = ("before", "brought along, not told apart", "edged", "grey")
    KIT = ("kit", "out in a kit", "edged", "rise")
    LOOSE = ("loose", "sold by itself", "edged", "fall")
    WORK = ("work", "used by the workshop", "edged", "cross")
    STAND_IN = ("stand-in", "as a stand-in", "edged", "dots")
    ONE_OFF = ("one-off", "one-off order", "edged", "solid")
    LOST = ("lost", "asked for and not had", "open", "")
    RETURN = ("return", "came back", "edged", "level")

    def __init__(self, code: str, words: str, look: str, fill: str) -> None:
        self.code, self.words, self.look, self.fill = code, words, look, fill


_BY_KIND = {
    Demand.Kind.KIT: Sort.KIT,
    Demand.Kind.LOOSE: Sort.LOOSE,
    Demand.Kind.WORK: Sort.WORK,
    Demand.Kind.LOST: Sort.LOST,
    Demand.Kind.RETURN: Sort.RETURN,
}


def sort_of(kind: str, *, one_off: bool, stand_in: bool) -> Sort:
    """What came back and what was not had stay what they are, whatever their marks."""
    plain = _BY_KIND[Demand.Kind(kind)]
    if plain in (Sort.LOST, Sort.RETURN):
        return plain
    if one_off:
        return Sort.ONE_OFF
    return Sort.STAND_IN if stand_in else plain


@dataclass(frozen=True)
class Shown:
    """What somebody asked to see: columns of months or weeks, how many months back, and what of it."""

    every: Every = "month"
    back: int = 24
    lost: bool = True
    one_offs: bool = True
    stand_ins: bool = True

    def lets(self, kind: str, *, one_off: bool, stand_in: bool) -> bool:
        """Whether a piece with these marks is shown; a return goes with what it returns."""
        if kind == Demand.Kind.LOST and not self.lost:
            return False
        return (self.one_offs or not one_off) and (self.stand_ins or not stand_in)

    @property
    def without(self) -> tuple[str, ...]:
        """What is left out, in words."""
        switches: Mapping[str, bool] = {
            "what was not had": self.lost,
            "one-off orders": self.one_offs,
            "stand-ins": self.stand_ins,
        }
        return tuple(words for words, is_in in switches.items() if not is_in)


@dataclass(frozen=True)
class Column:
    """One month or week. `counted` is what forecasts take it for, returns netted; None while it runs."""

    start: date
    pieces: Mapping[Sort, int]
    counted: int | None

    @property
    def out(self) -> int:
        """All that was asked for, before what came back."""
        return sum(quantity for sort, quantity in self.pieces.items() if sort is not Sort.RETURN)

    @property
    def back(self) -> int:
        return self.pieces.get(Sort.RETURN, 0)
