"""Passes through diagrams against all answers, with weights that the diagram was not built for."""

import numpy as np
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from kits.solver.passes import best_values, count, least_below, least_through
from kits.solver.relations import Relation

from .test_consistency import answers, many
from .test_diagram import OFFSETS, diagram_of

weights_of = st.lists(st.integers(-9, 30), min_size=int(OFFSETS[-1]), max_size=int(OFFSETS[-1])).map(
    lambda some: np.array(some, np.int64)
)


def as_numbers(some: list[Relation]) -> list[list[int]]:
    """The answers as the numbers of their values, of the variables that stand in a relation."""
    variables = sorted({v for one in some for v in one.scope})
    return [
        list(row) for row in {tuple(int(OFFSETS[v]) + one[v] for v in variables) for one in answers(some)}
    ]


@settings(max_examples=150)
@given(many, weights_of)
def test_least_costs_below_and_through_are_those_of_all_answers(
    some: list[Relation], weights: np.ndarray[tuple[int], np.dtype[np.int64]]
) -> None:
    diagram, rows = diagram_of(some), as_numbers(some)
    assume(diagram is not None)
    assert diagram is not None
    best, by_row = least_below(diagram, weights)
    assert best[-1] == min(sum(weights[row]) for row in rows)
    through = least_through(diagram, best, by_row)
    wanted = {
        value: min(sum(weights[row]) for row in rows if value in row)
        for value in sorted({value for row in rows for value in row})
    }
    assert dict(zip(diagram.values_seen.tolist(), through.tolist(), strict=True)) == wanted


@settings(max_examples=150)
@given(many, weights_of, st.sets(st.integers(0, int(OFFSETS[-1]) - 1), max_size=4))
def test_what_is_forbidden_is_not_counted_nor_best(
    some: list[Relation], weights: np.ndarray[tuple[int], np.dtype[np.int64]], forbidden: set[int]
) -> None:
    diagram = diagram_of(some)
    assume(diagram is not None)
    assert diagram is not None
    rows = [row for row in as_numbers(some) if not forbidden & set(row)]
    allowed = np.ones(len(weights), np.bool_)
    allowed[list(forbidden)] = False
    assert count(diagram, allowed) == len(rows)
    best, by_row = least_below(diagram, np.where(allowed, weights, np.inf))
    if not rows:
        assert best[-1] == np.inf
        return
    found = sorted(value for value in best_values(diagram, by_row).tolist())
    assert found in [sorted(row) for row in rows]
    assert sum(weights[found]) == best[-1] == min(sum(weights[row]) for row in rows)
