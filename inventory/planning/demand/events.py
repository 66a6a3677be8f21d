"""What is known of past demand: dated events, and monthly totals from before there were any."""

from __future__ import annotations

from collections.abc import Hashable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Generic, Literal, TypeVar, get_args

from inventory.planning.figures import plain_day, whole
from inventory.planning.ordering import PlanningError

P = TypeVar("P", bound=Hashable)

# Out in a kit, over the counter by itself, into shop work; asked for and not had; come back.
Kind = Literal["kit", "loose", "work", "lost", "return"]
KINDS: tuple[str, ...] = get_args(Kind)


@dataclass(frozen=True)
class Event(Generic[P]):
    """`quantity` pieces of `part` on `day`. A return counts up as well: what came back.

    `stand_in` marks a part that went out in place of the one first chosen, `one_off` a large order that will
    not come again. A return carries the marks of what it returns.
    """

    part: P
    day: date
    quantity: int
    kind: Kind
    stand_in: bool = False
    one_off: bool = False

    def __post_init__(self) -> None:
        plain_day(self.day, "The day of a demand")
        whole(self.quantity, "The pieces of a demand")
        if self.kind not in KINDS:
            raise PlanningError(f"A demand is one of {', '.join(KINDS)}, not {self.kind!r}.")


@dataclass(frozen=True)
class Total(Generic[P]):
    """`quantity` pieces of `part` in the calendar month that the day `month` lies in, returns netted."""

    part: P
    month: date
    quantity: int

    def __post_init__(self) -> None:
        plain_day(self.month, "The month of a total")
        whole(self.quantity, "The pieces of a month")


def last_successors(successors: Mapping[P, P]) -> dict[P, P]:
    """Each superseded part with the last of its line: with a by b and b by c, both end at c.

    Raises PlanningError where a line comes back to itself.
    """
    ends: dict[P, P] = {}
    for part in successors:
        line = [part]
        while line[-1] in successors and line[-1] not in ends:
            following = successors[line[-1]]
            if following in line:
                raise PlanningError(
                    f"Part {part!r} is superseded by itself in the end: mend the line of parts."
                )
            line.append(following)
        end = ends.get(line[-1], line[-1])
        ends.update(dict.fromkeys(line[:-1], end))
    return ends
