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

    No pieces at all: the slot is left out or filled with the customer's own. `then` names further slots of
    the template that are to be filled with it. `rank`, the lower the better, is its place in the slot where
    it is not given.
    """

    pieces: Mapping[Part, int]
    minutes: int = 0
    then: tuple[str, ...] = ()
    rank: int | None = None

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

    Every filling goes with every other: one that does not is a template of its own, or leads to slots of its
    own: a slot named in a filling's `then`, of a slot listed before, is filled only with that filling.
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
        free = self._may_be_empty()
        if self.most is None and all(slot.name in free for slot in self.first):
            raise PlanningError(f"Kit {self.name} may need nothing from the shelves: say the most of them.")

    @property
    def first(self) -> list[Slot]:
        """The slots that every kit fills."""
        later = {name for slot in self.slots for filling in slot.fillings for name in filling.then}
        return [slot for slot in self.slots if slot.name not in later]

    def _may_be_empty(self) -> set[str]:
        """The slots that may be filled without a piece, the last listed first."""
        free, known = set[str](), set[str]()
        for slot in reversed(self.slots):
            if any(name not in known for filling in slot.fillings for name in filling.then):
                raise PlanningError(f"Slot {slot.name} leads to one that is not listed after it: list it so.")
            if any(not filling.pieces and free.issuperset(filling.then) for filling in slot.fillings):
                free.add(slot.name)
            known.add(slot.name)
        return free


def pieces(quantity: int, ratio: Fraction) -> int:
    """How many pieces stand in for `quantity`, at `ratio` for each of them, rounded up to whole ones."""
    whole(quantity, "The quantity of a slot")
    if not isinstance(ratio, Fraction | int) or ratio <= 0:
        raise PlanningError(f"A quantity ratio is a fraction above zero, not {ratio!r}.")
    return -(-quantity * ratio.numerator // ratio.denominator)
