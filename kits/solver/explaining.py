"""Why not: the fewest choices and constraints that leave no answer.

Fewest in the sense that none can be left out; there may be other such sets.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Sequence
from typing import TYPE_CHECKING, Final, TypeVar

from kits.solver.answers import Conflict
from kits.solver.building import fixing
from kits.solver.consistency import full_domains, narrow
from kits.solver.elimination import eliminate, min_fill_order
from kits.solver.errors import NetworkError, said
from kits.solver.network import Choices, check_choice

if TYPE_CHECKING:
    from kits.solver.compiled import Compiled

One = TypeVar("One")
_CAP: Final = 10**8  # What compiled whole fits all the more with values fixed and constraints left out.


def explain(compiled: Compiled, choices: Choices, variable: str | None, value: Hashable) -> Conflict:
    """The conflict of a value with the choices, or of the choices with each other.

    Raises NetworkError where there is none to explain.
    """
    target = {} if variable is None else {variable: value}
    for name, chosen in (*choices.items(), *target.items()):
        check_choice(compiled.network, name, chosen)
    earlier = {name: chosen for name, chosen in choices.items() if name != variable}
    if compiled.possible(earlier | target):
        what = "the choices" if variable is None else said(variable, value)
        raise NetworkError(f"there is no conflict to explain: {what} can be part of a whole answer")
    needed = _fewest(
        list(earlier), lambda kept: not compiled.possible({k: earlier[k] for k in kept} | target)
    )
    blamed = {name: earlier[name] for name in needed}
    places = _fewest_constraints(compiled, blamed | target)
    reasons = (compiled.network.constraints[place].reason for place in places)
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


def _fewest_constraints(compiled: Compiled, fixed: Choices) -> tuple[int, ...]:
    """Places of constraints that refute the fixed values, none of which can be left out."""
    suspects = _refuting(compiled, fixed)
    if suspects is None:
        everything: Iterable[int] = range(len(compiled.built.parts))
        suspects = list(everything)
    return tuple(sorted(_fewest(suspects, lambda places: not _satisfiable(compiled, fixed, places))))


def _refuting(compiled: Compiled, fixed: Choices) -> list[int] | None:
    """Constraints whose propagation alone leaves nothing; None where propagation does not see it."""
    relations, owners = fixing(fixed, compiled.numbering), [-1] * len(fixed)
    for place, part in enumerate(compiled.built.parts):
        relations += part
        owners += [place] * len(part)
    trace: list[int] = []
    if narrow(relations, full_domains(compiled.built.sizes), trace):
        return None
    empty = [i for i, relation in enumerate(relations) if not len(relation)]
    return sorted({owners[i] for i in (*trace, *empty) if owners[i] >= 0})


def _satisfiable(compiled: Compiled, fixed: Choices, places: Sequence[int]) -> bool:
    """Whether just these constraints leave an answer."""
    relations = fixing(fixed, compiled.numbering)
    relations += [relation for place in places for relation in compiled.built.parts[place]]
    sizes = compiled.built.sizes
    if not narrow(relations, full_domains(sizes)):
        return False
    return eliminate(relations, sizes, min_fill_order(relations, sizes), _CAP) is not None
