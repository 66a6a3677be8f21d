"""What may go into an opened slot, as the counter reads it: whole kits first, what is in no kit last."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from kits.fit import Verdict
from kits.options import Option, SlotOptions
from kits.solver import OutOfTime
from kits.whole_kits import State, Swapped, Through, WayOut, WholeKits

_SENTENCES = re.compile(r"(?<=[.!?]) +(?=[A-Z])")
_INCHES = re.compile(r" \([^()]* in\)")
_LEAD = 40  # characters; "Bottoms." alone says too little
_NEEDS_ONE = {"counter", "customer"}


@dataclass(frozen=True)
class Standing:
    """Where a candidate stands, by shape and words."""

    shape: str
    words: str


@dataclass(frozen=True)
class Way:
    """One click: a way to a whole kit, with what was asked for as (slot, key), and who has to agree."""

    asked: tuple[tuple[str, str], ...]
    way: WayOut
    agreements: frozenset[str]

    @classmethod
    def of(cls, way: WayOut, *asked: tuple[str, str], agreement: str = "") -> Way:
        """`agreement` is that of what was asked for."""
        needed = {agreement, *(one.agreement for one in (*way.changes, *way.follows))}
        return cls(asked, way, frozenset(needed & _NEEDS_ONE))

    @property
    def chosen(self) -> list[tuple[str, str]]:
        """What is chosen with it."""
        return [*self.asked, *((one.slot, one.key) for one in self.way.changes)]

    @property
    def follows(self) -> tuple[Swapped, ...]:
        """What only follows."""
        return self.way.follows

    @property
    def agreement(self) -> str:
        """Whose agreement to ask for: the customer's, which is the harder to get, before the counter's."""
        return "customer" if "customer" in self.agreements else "".join(self.agreements)


@dataclass(frozen=True)
class Offer:
    """A candidate: alone (`option`), in whole kits (`through`), and the best of them (`best`)."""

    option: Option
    through: Through
    best: Way | None
    reasons: tuple[str, ...]

    @property
    def is_blocked(self) -> bool:
        """In no whole kit, and not what is fitted."""
        return self.through.state is State.NOT_POSSIBLE and not self.option.is_current

    @property
    def others(self) -> int:
        """How many other slots follow."""
        return (self.through.follows or 0) if not self.option.is_current else 0

    @property
    def follows(self) -> tuple[Swapped, ...]:
        """What follows, by name."""
        return self.best.follows if self.best else ()

    @property
    def agreement(self) -> str:
        """Who has to agree to it, or to something that follows."""
        return self.best.agreement if self.together and self.best else self.option.agreement

    @property
    def together(self) -> bool:
        """Whether it is fitted with others at once. Sizes of the customer's own are given alone."""
        return self.others > 0 and self.best is not None and self.option.key != "own"

    @property
    def standing(self) -> Standing:
        """As it is fitted or would go as it is: its verdict; else what its whole kits are."""
        state = self.through.state
        if self.option.is_current or (state in _THERE and not self.others):
            return Standing(self.option.verdict.value.replace(" ", "-"), self.option.verdict.value)
        if state is State.NOT_POSSIBLE:
            return Standing("does-not-go", "in no whole kit")
        if state is State.NOT_YET_KNOWN:
            return Standing("not-yet-known", "not yet known")
        follow = f"{self.others} follow{'s' if self.others == 1 else ''}"
        if state is State.MEASURE_FIRST:
            return Standing("measure-first", f"measure first, {follow}")
        return Standing("goes-with-others", f"goes, {follow}")

    @property
    def brief(self) -> str:
        """The first sentence of the worst reason; nothing where it goes, with others or as it is."""
        goes = self.option.verdict is Verdict.GOES_TOGETHER or self.standing.shape == "goes-with-others"
        return "" if goes or not self.reasons else brief(self.reasons[0])

    @property
    def order(self) -> tuple[int, int]:
        """What is fitted, then what goes as it is, with others, after measuring, not yet known, never."""
        if self.option.is_current:
            return 0, 0
        shape = self.standing.shape
        return _ORDER.index(shape if shape in _ORDER else "goes-together"), self.others


_THERE = (State.POSSIBLE, State.MEASURE_FIRST)
_ORDER = ("fitted", "goes-together", "goes-with-others", "measure-first", "not-yet-known", "does-not-go")


@dataclass(frozen=True)
class Offers:
    """The candidates of one slot in the order to show them; `blocked` are in no whole kit."""

    possible: tuple[Offer, ...]
    blocked: tuple[Offer, ...]


def offers_of(kits: WholeKits, slot: SlotOptions, through: Mapping[str, Through]) -> Offers:
    """The offers of a slot whose options are all told."""
    found = [_offer(kits, slot, option, through[option.key]) for option in slot.options]
    found.sort(key=lambda offer: offer.order)
    return Offers(
        tuple(offer for offer in found if not offer.is_blocked),
        tuple(offer for offer in found if offer.is_blocked),
    )


def _offer(kits: WholeKits, slot: SlotOptions, option: Option, through: Through) -> Offer:
    best = None
    if through.state in _THERE and not option.is_current:
        try:
            way = kits.cheapest_with(slot.code, option.key)
        except OutOfTime:
            way = None
        if way is not None:
            best = Way.of(way, (slot.code, option.key), agreement=option.agreement)
    return Offer(option, through, best, tuple(own_slot_apart(option.reasons, slot.name)))


def brief(reason: str) -> str:
    """The first sentence, in millimetres; the next one too where the first is but a lead."""
    sentences = _SENTENCES.split(_INCHES.sub("", reason))
    count = 2 if len(sentences[0]) < _LEAD and len(sentences) > 1 else 1
    return " ".join(sentences[:count])


def own_slot_apart(reasons: Iterable[str], name: str) -> Iterable[str]:
    """The reasons without the advice on the size of this very slot: its list is what one is looking at."""
    advice = (f"With {name} ", f"No size of {name} ")
    for reason in reasons:
        kept = [one for one in _SENTENCES.split(reason) if not one.startswith(advice)]
        yield " ".join(kept)


def said_of(names: Iterable[str], reasons: Iterable[str]) -> list[str]:
    """The checks and rules of a conflict by their figures, where the candidate alone gives some."""
    reasons = list(reasons)
    return [next((brief(reason) for reason in reasons if name in reason), name) for name in names]
