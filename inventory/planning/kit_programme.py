"""Integer programmes over whole kits and pieces, solved by HiGHS and held against whole numbers.

The solver reckons in floating point. What it says is believed only after its answer, rounded, keeps every
row exactly and its own bound leaves no room for a better one.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from .ordering import PlanningError

# Branch and bound gives up after so many nodes; a count, not a time, so that it does so everywhere alike.
NODES = 200_000
# Sums beyond this lose whole units in floating point.
LARGEST = 1 << 48
# Objectives become one while it stays below this: the solver takes whole numbers that are a millionth off.
AT_ONCE = 200_000
# Prices are fractions of no larger denominator: those of linear programmes over small numbers mostly are.
FINEST = 5_000

OPTIMAL, INFEASIBLE = 0, 2

Terms = Mapping[int, int]


@dataclass(frozen=True)
class Row:
    """`least` <= the sum of coefficient times column <= `most`; None is no limit."""

    terms: Terms
    least: int | None = None
    most: int | None = None


class Unproven(PlanningError):
    """The solver has no answer that holds in whole numbers and that nothing can beat."""


def total(terms: Terms, values: Sequence[int]) -> int:
    """The sum of coefficient times value."""
    return sum(factor * values[column] for column, factor in terms.items())


def maximise(objective: Terms, rows: Sequence[Row], upper: Sequence[int]) -> list[int] | None:
    """Whole numbers from 0 to `upper` that keep all rows and make `objective` largest; None: none keep them.

    Raises Unproven when the solver cannot show that they do.
    """
    if not upper:
        return [] if all(_keeps(row, []) for row in rows) else None
    largest = max(
        (abs(f) * upper[c] for row in (*rows, Row(objective)) for c, f in row.terms.items()), default=0
    )
    if largest * len(upper) >= LARGEST:
        raise Unproven("These quantities are too large to be reckoned exactly: look for one typed wrong.")
    result = _highs(objective, rows, upper)
    if result.status == INFEASIBLE:
        return None
    if result.status != OPTIMAL:
        raise Unproven(f"The most kits could not be proven: {result.message} Ask for fewer kits at once.")
    values = [round(value) for value in result.x]
    within = all(0 <= value <= most for value, most in zip(values, upper, strict=True))
    if not within or not all(_keeps(row, values) for row in rows):
        raise Unproven("The solver's answer does not hold in whole numbers: ask for fewer kits at once.")
    if -result.mip_dual_bound >= total(objective, values) + 1:
        raise Unproven("The solver does not rule out a better answer: ask for fewer kits at once.")
    return values


def in_order(objectives: Sequence[Terms], rows: Sequence[Row], upper: Sequence[int]) -> list[int] | None:
    """The answer that is largest in the first objective, among those in the second, and so on."""
    kept = list(rows)
    values: list[int] | None = None
    for group in _groups(objectives, upper):
        if values is None or any(total(one, values) < _ceiling(one, upper) for one in group):
            values = _largest_in_order(group, kept, upper)
            if values is None:
                return None
        kept += [Row(one, least=total(one, values)) for one in group]
    return values


def _groups(objectives: Sequence[Terms], upper: Sequence[int]) -> Iterator[list[Terms]]:
    """As many objectives at once as make no factors that are too large, in their order."""
    group: list[Terms] = []
    for objective in objectives:
        if group and _size(_as_one([*group, objective], upper), upper) > AT_ONCE:
            yield group
            group = []
        group.append(objective)
    if group:
        yield group


def _largest_in_order(group: Sequence[Terms], rows: Sequence[Row], upper: Sequence[int]) -> list[int] | None:
    if len(group) == 1:
        return maximise(group[0], rows, upper)
    try:
        return maximise(_as_one(group, upper), rows, upper)
    except Unproven:
        # The factors of the first ones may blur what the solver proves: one after the other, then.
        kept = list(rows)
        for objective in group:
            values = maximise(objective, kept, upper)
            if values is None:
                return None
            kept.append(Row(objective, least=total(objective, values)))
        return values


def _as_one(objectives: Sequence[Terms], upper: Sequence[int]) -> Terms:
    """One objective that is largest where these are in order: a step of each outweighs all of the later."""
    found: dict[int, int] = {}
    for objective in objectives:
        outweighs = _size(objective, upper) + 1
        found = {column: factor * outweighs for column, factor in found.items()}
        for column, factor in objective.items():
            found[column] = found.get(column, 0) + factor
    return found


def _size(objective: Terms, upper: Sequence[int]) -> int:
    """More than this its values do not differ."""
    return sum(abs(factor) * upper[column] for column, factor in objective.items())


def _keeps(row: Row, values: Sequence[int]) -> bool:
    value = total(row.terms, values)
    return (row.least is None or row.least <= value) and (row.most is None or value <= row.most)


def _ceiling(objective: Terms, upper: Sequence[int]) -> int:
    return sum(factor * upper[column] for column, factor in objective.items() if factor > 0)


def _highs(objective: Terms, rows: Sequence[Row], upper: Sequence[int]) -> Any:
    import numpy as np
    from scipy.optimize import Bounds, LinearConstraint, milp

    cost = np.zeros(len(upper))
    for column, factor in objective.items():
        cost[column] = -factor
    least = [-np.inf if row.least is None else row.least for row in rows]
    most = [np.inf if row.most is None else row.most for row in rows]
    return milp(
        cost,
        integrality=np.ones(len(upper)),
        bounds=Bounds(0, np.array(upper, float)),
        constraints=LinearConstraint(_matrix(rows, len(upper)), least, most) if rows else None,
        options={"mip_rel_gap": 0, "node_limit": NODES},
    )


def prices(objective: Terms, rows: Sequence[Row], columns: int) -> tuple[list[Fraction], Fraction] | None:
    """A price for each row, and what all that there is of the rows costs; None: none were found.

    Rows are equal to 0, or at most something. No values of 0 or more are worth more than that cost, as what a
    column takes of the rows costs at least its worth; and so it is whatever there is of a row that costs
    nothing. The prices come from the linear programme; that they are such is reckoned in fractions.
    """
    duals = _duals(objective, rows, columns) if columns else []
    found = [Fraction(one).limit_denominator(FINEST) for one in duals]
    if not found or any(price < 0 and row.least is None for price, row in zip(found, rows, strict=True)):
        return None
    cost = [Fraction(0)] * columns
    for price, row in zip(found, rows, strict=True):
        for column, factor in row.terms.items():
            cost[column] += price * factor
    if any(cost[column] < objective.get(column, 0) for column in range(columns)):
        return None
    pairs = zip(found, rows, strict=True)
    return found, sum((price * (row.most or 0) for price, row in pairs), Fraction(0))


def _duals(objective: Terms, rows: Sequence[Row], columns: int) -> list[float]:
    from scipy.optimize import linprog

    cost = [-objective.get(column, 0) for column in range(columns)]
    equal = [row for row in rows if row.least is not None]
    within = [row for row in rows if row.least is None]
    result = linprog(
        cost,
        _matrix(within, columns) if within else None,
        [row.most for row in within] or None,
        _matrix(equal, columns) if equal else None,
        [row.most for row in equal] or None,
    )
    if result.status != OPTIMAL:
        return []
    of_equal, of_within = iter(result.eqlin.marginals), iter(result.ineqlin.marginals)
    return [-float(next(of_within if row.least is None else of_equal)) for row in rows]


def _matrix(rows: Sequence[Row], columns: int) -> Any:
    import numpy as np
    from scipy.sparse import csr_array

    places = [(r, c, factor) for r, row in enumerate(rows) for c, factor in row.terms.items()]
    at_row, at_column, factors = zip(*places, strict=True) if places else ((), (), ())
    return csr_array((np.array(factors, float), (at_row, at_column)), shape=(len(rows), columns))
