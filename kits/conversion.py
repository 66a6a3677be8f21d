"""A conversion as read: a template revision on one engine, in frozen values that need no database.

`kits.reading` makes these; judging, options, prices and expansions work on nothing else. Ids are
those of the models. Money is Decimal, lengths are whole numbers of 10 nm inside bands.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from functools import cached_property

from kits.fit import Amount, Band, Wanted, Work

Valued = Band | Amount | str | None
PARTS, OWN, REUSED, LEFT_OUT = "parts", "own", "reused", "left out"


@dataclass(frozen=True, slots=True)
class Value:
    """A feature of a part, an engine or a customer's own part; `value` is None where it is unknown.

    `lo` and `hi` are the stored whole numbers, of lengths, counts and ratings alike.
    """

    name: str
    lo: int | None
    hi: int | None
    value: Valued
    source: str

    @property
    def band(self) -> Band | None:
        """The band of a length; None where it is unknown or not a length."""
        return self.value if isinstance(self.value, Band) else None


@dataclass(frozen=True, slots=True)
class PartRead:
    """A part with its features by kind id; `superseded_by` names the successor, if there is one."""

    id: int
    number: str
    key: str
    name: str
    maker: str
    maker_code: str
    category_id: int
    category: str
    price: Decimal
    ended: bool
    on_hand: int
    superseded_by: str
    drop_in: bool
    values: Mapping[int, Value]

    @property
    def label(self) -> str:
        """'Corran CP-104 pump pulley'."""
        return f"{self.maker} {self.number} {self.name}"


@dataclass(frozen=True, slots=True)
class CandidateRead:
    """Listed parts (id, quantity per slot unit), or a category whose parts select themselves."""

    label: str
    is_default: bool
    category_id: int | None
    feature_id: int | None
    lo: int | None
    hi: int | None
    parts: tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True)
class SubstitutionRead:
    """Valid on the engine that was read for."""

    standard: int
    stand_in: int
    replaces: int
    takes: int
    agreement: str
    pricing: str
    note: str


@dataclass(frozen=True, slots=True)
class SlotRead:
    id: int
    code: str
    name: str
    required: bool
    quantity: int
    own_allowed: bool
    reuse_allowed: bool
    never_reuse: str
    candidates: tuple[CandidateRead, ...]
    substitutions: tuple[SubstitutionRead, ...]

    @property
    def default(self) -> CandidateRead | None:
        """The candidate that a new kit is opened with."""
        return next((candidate for candidate in self.candidates if candidate.is_default), None)


@dataclass(frozen=True, slots=True)
class TermRead:
    """One term of a check; without a slot it is a feature of the engine."""

    slot_id: int | None
    feature_id: int
    feature: str
    reused_id: int | None
    reused: str
    sign: int
    factor: Fraction
    role: str


@dataclass(frozen=True)
class CheckRead:
    id: int
    code: str
    kind: str
    name: str
    wanted: Wanted | None
    settings: tuple[tuple[str, str], ...]
    open_slot_id: int | None
    caution: str
    terms: tuple[TermRead, ...]

    @cached_property
    def said(self) -> str:
        """All of it in words: a released template is kept, and need not be put in words with every look."""
        return repr(self)

    @cached_property
    def slot_ids(self) -> tuple[int, ...]:
        """The slots that it touches, each once; the open slot is one of them."""
        found = [term.slot_id for term in self.terms if term.slot_id is not None]
        return tuple(dict.fromkeys([*found, *([self.open_slot_id] if self.open_slot_id else [])]))


@dataclass(frozen=True, slots=True)
class RuleTermRead:
    slot_id: int | None
    name: str
    unless: bool
    values: frozenset[str]


@dataclass(frozen=True)
class RuleRead:
    code: str
    kind: str
    text: str
    instead: tuple[str, str] | None
    when: tuple[RuleTermRead, ...]
    then: tuple[RuleTermRead, ...]

    @cached_property
    def slot_ids(self) -> frozenset[int]:
        """The slots whose fill it asks about."""
        return frozenset(term.slot_id for term in (*self.when, *self.then) if term.slot_id is not None)


@dataclass(frozen=True)
class Filling:
    """What fills a slot: `how`, the parts (id, quantity for the whole kit), the customer's own sizes."""

    how: str
    parts: tuple[tuple[int, int], ...] = ()
    own: tuple[tuple[int, Value], ...] = ()

    @cached_property
    def key(self) -> str:
        """'parts:12+15', 'own', 'reused' or 'left-out': how pages and the API name it."""
        if self.how == PARTS:
            return "parts:" + "+".join(str(part_id) for part_id in sorted(p for p, _ in self.parts))
        return self.how.replace(" ", "-")

    @cached_property
    def _hash(self) -> int:
        return hash((self.how, self.parts, self.own))

    def __hash__(self) -> int:
        """Kept: one option list asks for it thousands of times."""
        return self._hash


Fills = Mapping[int, Filling]
EMPTY = Filling(LEFT_OUT)


@dataclass(frozen=True)
class Conversion:
    """Everything that judging one kit needs, and what may fill its slots besides."""

    revision_id: int
    template: str
    engine_id: int
    engine: str
    attributes: Mapping[str, str]
    engine_values: Mapping[int, Value]
    slots: tuple[SlotRead, ...]
    parts: Mapping[int, PartRead]
    checks: tuple[CheckRead, ...]
    rules: tuple[RuleRead, ...]
    works: Mapping[tuple[int, int], tuple[Work, ...]]

    @cached_property
    def slot_by_id(self) -> Mapping[int, SlotRead]:
        """The slots by id."""
        return {slot.id: slot for slot in self.slots}

    def default_fills(self) -> dict[int, Filling]:
        """The standard kit: every slot with its default; a slot without one is left out."""
        return {slot.id: default_filling(slot) or EMPTY for slot in self.slots}


def default_filling(slot: SlotRead) -> Filling | None:
    """The default of a slot, or None where it has none."""
    return filled_with(slot, slot.default) if slot.default else None


def filled_with(slot: SlotRead, candidate: CandidateRead) -> Filling:
    """A listed candidate in its slot: quantities are for the whole kit."""
    return Filling(PARTS, tuple(sorted((p, n * slot.quantity) for p, n in candidate.parts)))
