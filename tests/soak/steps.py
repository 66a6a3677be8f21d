"""PURE. One act of the history, as its kept answer tells it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

FROM_STOCK = 0  # In place of a purchase line's id: the pieces are kept from what is on hand.

Tie = tuple[int, int]  # Part, and purchase line or FROM_STOCK.


@dataclass(frozen=True)
class Reading:
    """The figures of some parts at one moment; what is zero is left out.

    `stock` part: on hand, held, committed. `bins` (part, place): quantity, allotted. `coming` purchase
    line: part, quantity, received, reserved. `kept` reservation: tie: quantity.
    """

    parts: frozenset[int]
    stock: Mapping[int, tuple[int, int, int]]
    bins: Mapping[tuple[int, int], tuple[int, int]]
    coming: Mapping[int, tuple[int, int, int, int]]
    kept: Mapping[int, Mapping[Tie, int]]

    @classmethod
    def of(cls, plain: Mapping[str, Any]) -> Reading:
        """From plain JSON: rows of numbers, each beginning with what it is about."""
        kept: dict[int, dict[Tie, int]] = {}
        for reservation, part, line, quantity in plain["kept"]:
            kept.setdefault(reservation, {})[part, line] = quantity
        return cls(
            parts=frozenset(plain["parts"]),
            stock={part: (here, held, committed) for part, here, held, committed in plain["stock"]},
            bins={(part, place): (there, allotted) for part, place, there, allotted in plain["bins"]},
            coming={line: (part, all_, in_, kept_) for line, part, all_, in_, kept_ in plain["coming"]},
            kept=kept,
        )

    def differences(self, other: Reading, mine: str, theirs: str) -> list[str]:
        """One sentence for every figure in which the two differ."""
        said = []
        for what in ("stock", "bins", "coming", "kept"):
            ours, others = getattr(self, what), getattr(other, what)
            said += [
                f"{what} of {key}: {mine} {ours.get(key)}, {theirs} {others.get(key)}"
                for key in sorted(ours.keys() | others.keys())
                if ours.get(key) != others.get(key)
            ]
        return said


@dataclass(frozen=True)
class Step:
    """One act that was done: its place in the serial order, what was asked, told and read.

    `began` and `ended` are moments before the act looked at the clock and after it.
    """

    number: int
    key: str
    kind: str
    args: Mapping[str, Any]
    told: Mapping[str, Any]
    began: datetime
    ended: datetime
    read: Reading

    @classmethod
    def of(cls, key: str, body: Mapping[str, Any]) -> Step:
        return cls(
            number=body["audit"][-1],
            key=key,
            kind=body["kind"],
            args=body["args"],
            told=body["told"],
            began=datetime.fromisoformat(body["began"]),
            ended=datetime.fromisoformat(body["ended"]),
            read=Reading.of(body["read"]),
        )

    def __str__(self) -> str:
        return f"act {self.number}, {self.kind} {dict(self.args)} told {dict(self.told)} ({self.key})"
