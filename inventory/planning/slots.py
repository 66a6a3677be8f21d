"""Kits as planning sees them: slots, and the fillings that each of them takes, in pieces of parts."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Any, TypeAlias

from .figures import whole
from .ordering import PlanningError

# Whatever tells parts apart, an id or a number. Any, since a mapping's key type is invariant: a dict by int
# is no mapping by Hashable.
Part: TypeAlias = Any


@dataclass(frozen=True)
class Filling:
    """What fills a slot once: pieces of one part or of several that come together, and bench time.

    No pieces at all: the slot is left out or filled with the customer's own.
    """

    pieces: Mapping[Part, int]
    minutes: int = 0

    def __post_init__(self) -> None:
        whole(self.minutes, "The minutes of work of a filling")
        for part, quantity in self.pieces.items():
            whole(quantity, f"The pieces of part {part!r} in a filling", 1)


@dataclass(frozen=True)
class Slot:
    """A place in a kit, filled `times` times by one of `fillings`, the preferred first.

    Six bolts that may be of mixed makes are one piece six times; six of one make are six pieces once.
    """

    name: str
    fillings: Sequence[Filling]
    times: int = 1

    def __post_init__(self) -> None:
        whole(self.times, f"How many times slot {self.name} is filled", 1)
        if not self.fillings:
            raise PlanningError(f"Slot {self.name} has no filling: leave the slot out, or name a part.")


@dataclass(frozen=True)
class Template:
    """A kit that may be built many times. `worth` weighs it against others; `most` limits its number.

    Every filling goes with every other: one that does not is a template of its own.
    """

    name: str
    slots: Sequence[Slot]
    worth: int | Decimal = 1
    most: int | None = None

    def __post_init__(self) -> None:
        if type(self.worth) not in (int, Decimal) or not Decimal(self.worth).is_finite() or self.worth <= 0:
            raise PlanningError(f"Kit {self.name} is worth more than nothing, exactly: not {self.worth!r}.")
        if self.most is not None:
            whole(self.most, f"The most kits of {self.name}")
        elif all(any(not filling.pieces for filling in slot.fillings) for slot in self.slots):
            raise PlanningError(f"Kit {self.name} may need nothing from the shelves: say the most of them.")


def pieces(quantity: int, ratio: Fraction) -> int:
    """How many pieces stand in for `quantity`, at `ratio` for each of them, rounded up to whole ones."""
    whole(quantity, "The quantity of a slot")
    if not isinstance(ratio, Fraction | int) or ratio <= 0:
        raise PlanningError(f"A quantity ratio is a fraction above zero, not {ratio!r}.")
    return -(-quantity * ratio.numerator // ratio.denominator)
