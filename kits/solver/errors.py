"""Errors of the solver."""

from __future__ import annotations

from collections.abc import Hashable
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


class TooLarge(Exception):
    """The network does not compile within its cap of rows or arcs."""


def said(variable: str, value: Hashable) -> str:
    """'spacer = AW-1407'."""
    return f"{variable} = {value}"
