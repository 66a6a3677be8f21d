"""PURE. What the model keeps: reservations, purchase lines and what differs on them, stops, corrections."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime

from .steps import Tie


class Impossible(Exception):
    """The history tells of something that cannot have been done one act after the other."""


def must(possible: bool, why: str) -> None:
    if not possible:
        raise Impossible(why)


@dataclass
class Kept:
    """A reservation: what it wants by part, and where each piece is kept."""

    kind: str
    until: datetime | None
    wants: Counter[int]
    state: str = "kept"
    ties: dict[Tie, int] = field(default_factory=dict)
    stops: list[int] = field(default_factory=list)


@dataclass
class Line:
    """A purchase line that was sent; `quantity` is what is counted on, `ordered` what was asked for."""

    part: int
    quantity: int
    ordered: int
    due: str = ""
    received: int = 0


@dataclass
class Noted:
    """What a supplier delivered otherwise than ordered."""

    line: int
    kind: str
    quantity: int
    settled: bool = False


@dataclass
class Asked:
    """A correction that waits for a second person, or was decided."""

    part: int
    place: int
    change: int
    state: str = "asked"


@dataclass
class Sold:
    """What left of one part with one reservation, what it had cost, and how many came back."""

    pieces: int = 0
    cost: int = 0
    back: int = 0


@dataclass
class Stop:
    """A stop of a walk."""

    reservation: int
    part: int
    place: int
    quantity: int
    picked: int = 0
    walk: int = 0


@dataclass(frozen=True)
class Catalogue:
    """What nobody changes: what a part is bought for, in steps, and how many of what go into it.

    A correction that is worth more than the `limit`, if there is one, takes two people.
    """

    prices: Mapping[int, int] = field(default_factory=dict)
    makeup: Mapping[int, Mapping[int, int]] = field(default_factory=dict)
    limit: int | None = None
