"""PURE. The shop once more, in plain dicts: what lies where, and who keeps it.

`doing.py` says what each act does to it, `replay.py` does a history of them, one after the other.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime

from .steps import FROM_STOCK, Reading, Tie


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
    """A purchase line that was sent."""

    part: int
    quantity: int
    received: int = 0


@dataclass
class Stop:
    """A stop of a walk."""

    reservation: int
    part: int
    place: int
    quantity: int
    picked: int = 0


class Shop:
    """What lies where, what is kept for whom, what is to come, and what walks have spoken for.

    Begins with nothing kept and nothing to come. `homes` is where a delivery of each part ends up.
    """

    def __init__(self, bins: Mapping[tuple[int, int], int], homes: Mapping[int, int], bench: int) -> None:
        self.bins: Counter[tuple[int, int]] = Counter(bins)
        self.homes, self.bench = dict(homes), bench
        self.reservations: dict[int, Kept] = {}
        self.lines: dict[int, Line] = {}
        self.stops: dict[int, Stop] = {}
        self.received: Counter[int] = Counter()  # By part, as are the next two.
        self.shipped: Counter[int] = Counter()
        self.picked: Counter[int] = Counter()
        self.live: dict[int, set[int]] = {}  # By part: the reservations that keep some of it.
        self.open_lines: dict[int, set[int]] = {}  # By part: the lines of which some is to come.

    def keep(self, reservation: int, kept: Kept) -> None:
        must(reservation not in self.reservations, f"reservation {reservation} is there already")
        must(bool(kept.wants) and min(kept.wants.values()) > 0, "it keeps nothing")
        self.reservations[reservation] = kept
        self._index(reservation)

    def want(self, reservation: int, wants: Mapping[int, int]) -> None:
        """Want these from now on; what is not wanted any more is given back."""
        kept = self.reservations[reservation]
        kept.wants = Counter(wants)
        kept.ties = {tie: quantity for tie, quantity in kept.ties.items() if tie[0] in kept.wants}
        for part in list(self.live):
            self.live[part].discard(reservation)
        self._index(reservation)

    def known(self, reservation: int) -> Kept:
        must(reservation in self.reservations, f"there is no reservation {reservation}")
        return self.reservations[reservation]

    def alive(self, reservation: int, kind: str | None = None) -> Kept:
        """A reservation that still keeps something."""
        kept = self.known(reservation)
        must(kept.state == "kept", f"reservation {reservation} is {kept.state} already")
        must(kind in (None, kept.kind), f"reservation {reservation} is a {kept.kind}")
        return kept

    def end(self, reservation: int, state: str) -> None:
        kept = self.alive(reservation)
        kept.state, kept.ties = state, {}
        for part in kept.wants:
            self.live[part].discard(reservation)
        for stop in kept.stops:
            del self.stops[stop]
        kept.stops = []

    def bring(self, part: int, place: int, quantity: int) -> None:
        """So many more there, or fewer if below zero."""
        self.bins[part, place] += quantity
        must(self.bins[part, place] >= 0, f"{self.bins[part, place]} of part {part} in place {place}")

    def on_hand(self, part: int) -> int:
        return sum(there for (what, _), there in self.bins.items() if what == part)

    def free(self, part: int) -> int:
        return self.on_hand(part) - sum(self._from_stock(part).values())

    def reading(self, parts: Iterable[int]) -> Reading:
        """The figures of these parts, as the shop should have them."""
        parts = frozenset(parts)
        allotted: Counter[tuple[int, int]] = Counter()
        for stop in self.stops.values():
            allotted[stop.part, stop.place] += stop.quantity - stop.picked
        stock = {}
        kept: dict[int, dict[Tie, int]] = {}
        for part in parts:
            by_kind = self._from_stock(part)
            stock[part] = (self.on_hand(part), by_kind["hold"], by_kind["commitment"])
            for reservation in self.live.get(part, ()):
                ties = self.reservations[reservation].ties
                here = {tie: quantity for tie, quantity in ties.items() if tie[0] == part}
                kept.setdefault(reservation, {}).update(here)
        return Reading(
            parts=parts,
            stock=stock,
            bins={
                key: (there, allotted[key]) for key, there in self.bins.items() if there and key[0] in parts
            },
            coming={
                line: (part, self.lines[line].quantity, self.lines[line].received, self._reserved(part, line))
                for part in parts
                for line in self.open_lines.get(part, ())
            },
            kept=kept,
        )

    def stay_within_bounds(self, parts: Iterable[int]) -> None:
        """Nobody is promised what is not there or not to come, and no bin is spoken for beyond its pieces."""
        now = self.reading(parts)
        for part, (here, held, committed) in now.stock.items():
            must(held + committed <= here, f"{held} + {committed} of part {part} kept, {here} on hand")
        for line, (part, quantity, received, reserved) in now.coming.items():
            left = quantity - received
            must(0 <= reserved <= left, f"{reserved} of part {part} tied to line {line}, {left} to come")
        for (part, place), (there, allotted) in now.bins.items():
            must(0 <= allotted <= there, f"{allotted} of part {part} spoken for in {place}, {there} there")

    def _index(self, reservation: int) -> None:
        for part in self.reservations[reservation].wants:
            self.live.setdefault(part, set()).add(reservation)

    def _from_stock(self, part: int) -> Counter[str]:
        """How many of a part are kept from stock, by kind of reservation."""
        total: Counter[str] = Counter()
        for reservation in self.live.get(part, ()):
            kept = self.reservations[reservation]
            total[kept.kind] += kept.ties.get((part, FROM_STOCK), 0)
        return total

    def _reserved(self, part: int, line: int) -> int:
        return sum(self.reservations[one].ties.get((part, line), 0) for one in self.live.get(part, ()))
