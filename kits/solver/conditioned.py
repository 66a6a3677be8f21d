"""Exact answers where the whole network is too large: compile what the choices leave of it.

Choices take variables out of the network, and what follows from them more; the rest often compiles. What
a chosen variable could be changed to needs the rest without that choice: choices are given up in groups,
as large as still compile. Where nothing compiles, the search answers.
"""

from __future__ import annotations

from collections.abc import Collection, Hashable, Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass, field, replace
from typing import ClassVar, Final

from kits.solver.answers import Conflict, Engine, MaybeOptions, NotYetKnown, Repair
from kits.solver.building import Numbering
from kits.solver.caching import Cache
from kits.solver.changing import one_by_one
from kits.solver.compiled import Compiled, compile
from kits.solver.conditioning import barred_left, costs_left, rest
from kits.solver.errors import Barred, Contradiction, OutOfTime, TooLarge
from kits.solver.network import Choices, Cost, Network, check_choice, check_choices, check_costs
from kits.solver.searching import Search

_ROOM: Final = 1_000_000  # Arcs of the rests that are remembered, some 50 bytes each.

_TRIES: Final = 6  # How many rests may turn out too large for one question before the search takes over.


@dataclass(frozen=True)
class _Tried:
    """A rest that was to be compiled; None where that passed the cap."""

    compiled: Compiled | None


_Group = tuple[tuple[str, ...], Compiled | None]


@dataclass(frozen=True, eq=False)
class Conditioned:
    """The engine that compiles what the choices leave, within `cap` rows, and searches beyond that.

    The answers are those of Compiled, or not yet known.
    """

    engine: ClassVar[Engine] = "conditioned"
    search: Search
    cap: int
    rests: Cache[frozenset[Cost], _Tried] = field(default_factory=Cache, repr=False)

    @property
    def network(self) -> Network:
        """What is asked about."""
        return self.search.network

    @property
    def numbering(self) -> Numbering:
        """Its variables and values by number."""
        return self.search.numbering

    def within(self, seconds: float) -> Conditioned:
        """The same engine with another time limit for what it searches."""
        return replace(self, search=self.search.within(seconds))

    def engine_for(self, choices: Choices) -> Engine:
        """Which engine answers about these choices: 'search' as soon as something must be searched."""
        self._check(choices)
        compiled = self._rest(choices) is not None
        return (
            "conditioned" if compiled and all(r is not None for _, r in self._groups(choices)) else "search"
        )

    def options(
        self, choices: Choices, costs: Mapping[Cost, int] | None = None, barred: Collection[Cost] = ()
    ) -> MaybeOptions:
        """As Compiled.options; NOT_YET_KNOWN where a value's least cost was not certain in time."""
        self._check(choices, costs, barred)
        whole = self._rest(choices)
        if whole is None:
            return self.search.options(choices, costs, barred)
        if not whole.possible({}):
            raise Contradiction(self.search.conflict(choices))
        found = self._spread(whole, {}, costs, barred)
        searched: list[str] = []
        for group, compiled in self._groups(choices):
            if compiled is None:
                searched += group
                continue
            given = self._spread(compiled, {name: choices[name] for name in group}, costs, barred)
            found |= {name: given[name] for name in group}
        if searched:
            found |= self.search.limited().options_of(searched, choices, costs, barred)
        return found

    def changes(
        self, choices: Choices, costs: Mapping[Cost, int] | None = None, barred: Collection[Cost] = ()
    ) -> MaybeOptions:
        """As Compiled.changes; NOT_YET_KNOWN where a value's least cost was not certain in time."""
        return one_by_one(self, choices, costs, barred)

    def possible(self, choices: Choices, barred: Collection[Cost] = ()) -> bool:
        """Whether there is a whole answer; OutOfTime where that is not certain in time."""
        self._check(choices, None, barred)
        if frozenset(choices.items()) not in self.rests:  # Compiling takes longer than most searches.
            try:
                return self.search.possible(choices, barred)
            except OutOfTime:
                if self._rest(choices) is None:
                    raise
        compiled = self._rest(choices)
        if compiled is None:
            return self.search.possible(choices, barred)
        return compiled.possible({}, barred_left(barred, compiled.network.variables))

    def count(self, choices: Choices) -> int:
        """How many whole answers the choices leave, exactly; NotCounted where the rest does not compile."""
        self._check(choices)
        compiled = self._rest(choices)
        return self.search.count(choices) if compiled is None else compiled.count({})

    def best(
        self, choices: Choices, costs: Mapping[Cost, int] | None = None, barred: Collection[Cost] = ()
    ) -> tuple[dict[str, Hashable], int]:
        """As Compiled.best; OutOfTime where none was certain to be cheapest in time."""
        self._check(choices, costs, barred)
        compiled = self._rest(choices)
        if compiled is None:
            return self.search.best(choices, costs, barred)
        if not compiled.possible({}):
            raise Contradiction(self.search.conflict(choices))
        left = compiled.network.variables
        try:
            return compiled.best({}, costs_left(costs, left), barred_left(barred, left))
        except Barred:
            raise Barred(barred) from None

    def conflict(self, choices: Choices, variable: str | None = None, value: Hashable = None) -> Conflict:
        """As Compiled.conflict, by search; OutOfTime where it was not certain in time."""
        return self.search.conflict(choices, variable, value)

    def repairs(
        self,
        choices: Choices,
        variable: str,
        value: Hashable,
        n: int,
        costs: Mapping[Cost, int] | None = None,
        change_costs: Mapping[str, int] | None = None,
    ) -> list[Repair]:
        """As Compiled.repairs, by search; OutOfTime where they were not certain in time."""
        return self.search.repairs(choices, variable, value, n, costs, change_costs)

    def _rest(self, choices: Choices) -> Compiled | None:
        """The rest compiled; None where it does not compile within the cap."""
        key = frozenset(choices.items())
        known = self.rests.get(key)
        if known is not None:
            return known.compiled
        compiled = None
        with suppress(TooLarge):
            compiled = compile(rest(self.network, self.search.narrowed(choices)), self.cap)
        self.rests.keep(key, _Tried(compiled), compiled.size.arcs if compiled else 1, _ROOM)
        return compiled

    def _groups(self, choices: Choices) -> Iterator[_Group]:
        """The choices in groups, each with the compiled rest without its choices, or None to search.

        Groups that do not compile are halved, until too many did not.
        """
        waiting = [tuple(choices)] if choices else []
        tries = _TRIES
        while waiting:
            group = waiting.pop(0)
            compiled = None
            if tries:
                compiled = self._rest({name: v for name, v in choices.items() if name not in group})
                tries -= compiled is None
            if compiled is not None or len(group) == 1 or not tries:
                yield group, compiled
            else:
                middle = len(group) // 2
                waiting += [group[:middle], group[middle:]]

    def _spread(
        self,
        compiled: Compiled,
        choices: Choices,
        costs: Mapping[Cost, int] | None,
        barred: Collection[Cost],
    ) -> dict[str, dict[Hashable, int | NotYetKnown | None]]:
        """The options of a rest, with None for the values that are not left in it."""
        left = compiled.network.variables
        found = compiled.options(choices, costs_left(costs, left), barred_left(barred, left))
        return {
            name: {value: found[name].get(value) for value in values}
            for name, values in self.network.variables.items()
        }

    def _check(
        self, choices: Choices, costs: Mapping[Cost, int] | None = None, barred: Collection[Cost] = ()
    ) -> None:
        check_choices(self.network, choices)
        for name, value in barred:
            check_choice(self.network, name, value)
        check_costs(self.network, {} if costs is None else costs)
