"""The engine for a network: a diagram where it fits, else what the choices leave of it, else search."""

from __future__ import annotations

from collections.abc import Collection, Hashable, Mapping
from typing import Final, Protocol

from kits.solver.answers import Conflict, Engine, MaybeOptions, Repair
from kits.solver.building import Numbering
from kits.solver.compiled import ROW_CAP, compile
from kits.solver.conditioned import Conditioned
from kits.solver.errors import TooLarge
from kits.solver.network import Choices, Cost, Network
from kits.solver.searching import Search, checked

SECONDS: Final = 2.0
REST_CAP: Final = 300_000  # Rests are compiled while somebody waits, at most so large.


class Solver(Protocol):
    """What every engine answers, exactly or not at all.

    Only engines other than 'diagram' have a time limit. Past it a value's option is NOT_YET_KNOWN, and
    the other questions raise OutOfTime; so does `options` where the choices exclude each other, but why
    was not certain in time. `count` raises NotCounted where what the choices leave does not
    compile.
    """

    @property
    def engine(self) -> Engine:
        """Which engine this is: 'diagram', 'conditioned' (which searches where it must) or 'search'."""

    @property
    def network(self) -> Network:
        """What is asked about."""

    @property
    def numbering(self) -> Numbering:
        """Its variables and values by number."""

    def engine_for(self, choices: Choices) -> Engine:
        """Which engine answers about these choices."""

    def within(self, seconds: float) -> Solver:
        """The same engine with another time limit for each call."""

    def options(
        self, choices: Choices, costs: Mapping[Cost, int] | None = None, barred: Collection[Cost] = ()
    ) -> MaybeOptions:
        """For every value the least total cost of a whole answer with it beside the choices, else None."""

    def changes(
        self, choices: Choices, costs: Mapping[Cost, int] | None = None, barred: Collection[Cost] = ()
    ) -> MaybeOptions:
        """As options, and told of choices that exclude each other too.

        Of those every value but what a single one of them can be changed to is None.
        """

    def possible(self, choices: Choices, barred: Collection[Cost] = ()) -> bool:
        """Whether there is a whole answer with these choices and without what is barred."""

    def count(self, choices: Choices) -> int:
        """How many whole answers the choices leave, exactly."""

    def best(
        self, choices: Choices, costs: Mapping[Cost, int] | None = None, barred: Collection[Cost] = ()
    ) -> tuple[dict[str, Hashable], int]:
        """A cheapest whole answer and its cost; Contradiction or Barred where there is none."""

    def conflict(self, choices: Choices, variable: str | None = None, value: Hashable = None) -> Conflict:
        """Why a value is not possible beside the choices, or why the choices are not."""

    def repairs(
        self,
        choices: Choices,
        variable: str,
        value: Hashable,
        n: int,
        costs: Mapping[Cost, int] | None = None,
        change_costs: Mapping[str, int] | None = None,
    ) -> list[Repair]:
        """The n cheapest smallest sets of changed choices with which the value is possible."""


def solver_for(network: Network, cap: int = ROW_CAP, seconds: float = SECONDS) -> Solver:
    """The best engine for a network: Compiled if it compiles within `cap` rows, else Conditioned.

    `seconds` is the time limit of each call to the latter, as far as it searches (see limiting.py). What
    choices leave is compiled within `cap` too, or REST_CAP if that is lower.
    """
    checked(seconds)
    try:
        return compile(network, cap)
    except TooLarge:
        return Conditioned(Search.of(network, cap, seconds), min(cap, REST_CAP))
