"""Choices that exclude each other: what changing a single one of them would make possible."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from contextlib import suppress
from dataclasses import dataclass
from typing import Protocol

from kits.solver.answers import MaybeOptions
from kits.solver.errors import Contradiction
from kits.solver.network import Choices, Cost, Network


class Asked(Protocol):
    """What can be asked for options."""

    @property
    def network(self) -> Network:
        """What is asked about."""

    def options(
        self, choices: Choices, costs: Mapping[Cost, int] | None = None, barred: Collection[Cost] = ()
    ) -> MaybeOptions:
        """For every value the least total cost of a whole answer with it, else None."""


class _Changing(Protocol):
    @property
    def network(self) -> Network: ...

    def changes(
        self, choices: Choices, costs: Mapping[Cost, int] | None = None, barred: Collection[Cost] = ()
    ) -> MaybeOptions: ...


@dataclass(frozen=True)
class OneChange:
    """A solver whose options are its changes: it refuses no choices that exclude each other."""

    solver: _Changing

    @property
    def network(self) -> Network:
        """That of the solver."""
        return self.solver.network

    def options(
        self, choices: Choices, costs: Mapping[Cost, int] | None = None, barred: Collection[Cost] = ()
    ) -> MaybeOptions:
        """For every value the least total cost of a whole answer with it and all other choices, else None."""
        return self.solver.changes(choices, costs, barred)


def one_by_one(
    solver: Asked, choices: Choices, costs: Mapping[Cost, int] | None, barred: Collection[Cost]
) -> MaybeOptions:
    """The changes by a solver that has no quicker way: each choice let go by itself."""
    told: dict[str, MaybeOptions] = {}
    try:
        return solver.options(choices, costs, barred)
    except Contradiction:
        for name in choices:
            with suppress(Contradiction):
                told[name] = solver.options({k: v for k, v in choices.items() if k != name}, costs, barred)
    return {
        name: told[name][name] if name in told else dict.fromkeys(values)
        for name, values in solver.network.variables.items()
    }
