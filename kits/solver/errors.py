"""Errors of the solver."""

from __future__ import annotations

from collections.abc import Collection, Hashable
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from kits.solver.answers import Conflict


class NetworkError(ValueError):
    """A network, a choice or a file that the solver cannot use; the message says what to do."""


class Contradiction(Exception):
    """The choices made so far exclude each other; `conflict` says which and why."""

    def __init__(self, conflict: Conflict) -> None:
        super().__init__(conflict.said)
        self.conflict = conflict


class Barred(Exception):
    """The choices have whole answers, but none without the values that are barred."""

    def __init__(self, barred: Collection[tuple[str, Hashable]]) -> None:
        super().__init__(f"no whole answer is left with {len(barred)} values barred; bar fewer")
        self.barred = tuple(barred)


class OutOfTime(Exception):
    """The time limit passed before the answer was certain; ask again with more seconds."""


class NotCounted(Exception):
    """How many answers there are cannot be said exactly; make more choices first."""


class TooLarge(Exception):
    """The network does not compile within its cap of rows or arcs."""


def said(variable: str, value: Hashable) -> str:
    """'spacer = AW-1407'."""
    return f"{variable} = {value}"
