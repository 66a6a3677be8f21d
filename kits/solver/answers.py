"""What the solver answers."""

from __future__ import annotations

from collections.abc import Hashable, Mapping
from dataclasses import dataclass
from enum import Enum
from typing import Final, Literal

from kits.solver.errors import said

Engine = Literal["diagram", "conditioned", "search"]


class NotYetKnown(Enum):
    """What is said of a value when the time limit passed before its answer was certain."""

    NOT_YET_KNOWN = "not yet known"


NOT_YET_KNOWN: Final = NotYetKnown.NOT_YET_KNOWN


MaybeOptions = Mapping[str, Mapping[Hashable, int | NotYetKnown | None]]


@dataclass(frozen=True)
class Conflict:
    """Why a value, or the choices themselves, are not possible.

    `choices` is a minimal set of earlier choices: with any one of them dropped there is a whole answer.
    `constraints` are the places, in `Network.constraints`, of constraints that together with these
    choices leave no answer, none of which can be left out; `reasons` are theirs, without the empty ones.
    """

    variable: str | None
    value: Hashable
    choices: Mapping[str, Hashable]
    constraints: tuple[int, ...]
    reasons: tuple[str, ...]

    @property
    def said(self) -> str:
        """One sentence, for those who have nothing better."""
        chosen = " and ".join(said(*choice) for choice in self.choices.items()) or "any choice"
        what = (
            "these choices exclude each other" if self.variable is None else said(self.variable, self.value)
        )
        because = f": {'; '.join(self.reasons)}" if self.reasons else ""
        if self.variable is None:
            return f"{what}: {chosen}{because}"
        return f"{what} does not go with {chosen}{because}"


@dataclass(frozen=True)
class Repair:
    """A smallest set of changed choices that makes a value possible, and what they change to.

    `change_cost` is what the changes themselves cost, `total_cost` that of the whole answer.
    """

    changes: Mapping[str, Hashable]
    change_cost: int
    total_cost: int


@dataclass(frozen=True)
class Size:
    """How large a network has become."""

    variables: int
    hidden: int
    rows: int
    nodes: int
    arcs: int
