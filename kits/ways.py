"""What is said of the whole kits around a kit: the best with a candidate, what is in the way, ways out."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import Enum

Swaps = Mapping[str, str]  # slot code to key


class State(Enum):
    """Whether some whole kit has a candidate beside what was chosen."""

    POSSIBLE = "possible"
    MEASURE_FIRST = "measure first"
    NOT_POSSIBLE = "not possible"
    NOT_YET_KNOWN = "not yet known"


@dataclass(frozen=True)
class Through:
    """The whole kits through one candidate, against the kit as it is.

    `difference` is the price of the best one less that of the kit as it is, `follows` how many other
    slots it changes; `cheapest` is the difference of the cheapest one. They are None where there is no
    whole kit. `ready_on` is the first day on which all parts of some whole kit through it are there.
    """

    state: State
    difference: Decimal | None = None
    follows: int | None = None
    cheapest: Decimal | None = None
    ready_on: date | None = None


@dataclass(frozen=True)
class Swapped:
    """One slot filled otherwise, in words and as it is asked for; `short` has the part numbers alone.

    `agreement` is who has to agree first, as in Option.agreement.
    """

    slot: str
    name: str
    key: str
    label: str
    short: str
    agreement: str


@dataclass(frozen=True)
class WayOut:
    """A best whole kit, by what it changes.

    `changes` are chosen slots that must change, `follows` others that follow; `difference` is that of
    the whole kit's price, `ready_on` the day on which all its parts are there.
    """

    changes: tuple[Swapped, ...]
    follows: tuple[Swapped, ...]
    difference: Decimal
    ready_on: date | None
    state: State


@dataclass(frozen=True)
class InTheWay:
    """Why a candidate is not possible: what was chosen and cannot stay, the checks and rules, ways out."""

    chosen: tuple[Swapped, ...]
    reasons: tuple[str, ...]
    ways_out: tuple[WayOut, ...]


@dataclass(frozen=True)
class Around:
    """One candidate: the best whole kit with it, or what is in its way; neither while that is not known."""

    state: State
    best: WayOut | None = None
    in_the_way: InTheWay | None = None
