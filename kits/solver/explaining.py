"""Why not: the fewest choices and constraints that leave no answer.

Fewest in the sense that none can be left out; there may be other such sets.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Sequence
from typing import Protocol, TypeVar

from kits.solver.answers import Conflict
from kits.solver.building import Built, Numbering, fixing
from kits.solver.consistency import full_domains, narrow
from kits.solver.elimination import eliminate, min_fill_order
from kits.solver.errors import NetworkError, said
from kits.solver.network import Choices, Network, check_choice

One = TypeVar("One")


class Explainable(Protocol):
    """What an engine must be able to say, so that its conflicts can be found."""

    @property
    def network(self) -> Network: ...

    def possible(self, choices: Choices) -> bool:
        """Whether there is a whole answer with these choices."""

    def suspects(self, fixed: Choices, among: Sequence[int]) -> list[int] | None:
        """Those of some constraints that plainly refute the fixed values; None where it is not plain."""

    def satisfiable(self, fixed: Choices, places: Sequence[int]) -> bool:
        """Whether just these constraints leave an answer with the fixed values."""


def explain(engine: Explainable, choices: Choices, variable: str | None, value: Hashable) -> Conflict:
    """The conflict of a value with the choices, or of the choices with each other.

    Raises NetworkError where there is none to explain.
    """
    target = {} if variable is None else {variable: value}
    for name, chosen in (*choices.items(), *target.items()):
        check_choice(engine.network, name, chosen)
    earlier = {name: chosen for name, chosen in choices.items() if name != variable}
    if engine.possible(earlier | target):
        what = "the choices" if variable is None else said(variable, value)
        raise NetworkError(f"there is no conflict to explain: {what} can be part of a whole answer")
    needed = _fewest(list(earlier), lambda kept: not engine.possible({k: earlier[k] for k in kept} | target))
    blamed = {name: earlier[name] for name in needed}
    places = _fewest_constraints(engine, blamed | target)
    reasons = (engine.network.constraints[place].reason for place in places)
    return Conflict(variable, value, blamed, places, tuple(dict.fromkeys(r for r in reasons if r)))


def _fewest(items: Sequence[One], still: Callable[[Sequence[One]], bool]) -> list[One]:
    """Items none of which can be left out for `still` to hold, which holds for all of them.

    Halves are dropped before single ones; what can go, goes from the front.
    """
    kept, step = list(items), max(len(items) // 2, 1)
    while True:
        start = 0
        while start < len(kept):
            fewer = kept[:start] + kept[start + step :]
            if still(fewer):
                kept = fewer
            else:
                start += step
        if step == 1:
            return kept
        step = max(step // 2, 1)


def _fewest_constraints(engine: Explainable, fixed: Choices) -> tuple[int, ...]:
    """Places of constraints that refute the fixed values, none of which can be left out."""
    every = range(len(engine.network.constraints))
    suspects = engine.suspects(fixed, every)
    if suspects is None:
        suspects = list(every)
    else:  # What is plain is quick to make smaller, and then there is little left to look into.
        suspects = _fewest(suspects, lambda places: engine.suspects(fixed, places) is not None)
    return tuple(sorted(_fewest(suspects, lambda places: not engine.satisfiable(fixed, places))))


def refuting(built: Built, numbering: Numbering, fixed: Choices, among: Sequence[int]) -> list[int] | None:
    """Those of some constraints whose propagation alone leaves nothing; None where it does not see it."""
    relations, owners = fixing(fixed, numbering), [-1] * len(fixed)
    for place in among:
        relations += built.parts[place]
        owners += [place] * len(built.parts[place])
    trace: list[int] = []
    if narrow(relations, full_domains(built.sizes), trace):
        return None
    empty = [i for i, relation in enumerate(relations) if not len(relation)]
    return sorted({owners[i] for i in (*trace, *empty) if owners[i] >= 0})


def leave_an_answer(
    built: Built, numbering: Numbering, fixed: Choices, places: Sequence[int], cap: int
) -> bool:
    """Whether just these constraints leave an answer, by elimination; TooLarge beyond `cap` rows."""
    relations = fixing(fixed, numbering)
    relations += [relation for place in places for relation in built.parts[place]]
    if not narrow(relations, full_domains(built.sizes)):
        return False
    order = min_fill_order(relations, built.sizes)
    return eliminate(relations, built.sizes, order, cap) is not None
