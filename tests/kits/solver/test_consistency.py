"""What leaves early can be part of no answer, and no answer leaves."""

from collections.abc import Sequence
from itertools import product

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from kits.solver.consistency import absorbed, full_domains, narrow, pairwise
from kits.solver.relations import Relation, semijoin

from .test_relations import SIZES, relations, rows_of

many = st.lists(relations(), min_size=1, max_size=5)


def answers(of: Sequence[Relation]) -> set[tuple[int, ...]]:
    return {
        one
        for one in product(*map(range, SIZES))
        if all(tuple(one[v] for v in relation.scope) in rows_of(relation) for relation in of)
    }


@settings(max_examples=100)
@given(many)
def test_narrowing_keeps_every_answer_and_only_values_with_rows(some: list[Relation]) -> None:
    narrowed, domains = list(some), full_domains(SIZES)
    possible = narrow(narrowed, domains)
    assert answers(narrowed) == answers(some)
    if not possible:
        assert not answers(some)
        return
    for relation in narrowed:
        for column, variable in enumerate(relation.scope):
            assert set(relation.rows[:, column].tolist()) == set(np.flatnonzero(domains[variable]).tolist())


@settings(max_examples=100)
@given(many)
def test_what_the_trace_names_refutes_by_itself(some: list[Relation]) -> None:
    narrowed, trace = list(some), list[int]()
    if not narrow(narrowed, full_domains(SIZES), trace):
        empty = [i for i, relation in enumerate(narrowed) if not len(relation)]
        assert not narrow([some[i] for i in {*trace, *empty}], full_domains(SIZES))


@settings(max_examples=100)
@given(many)
def test_absorbing_keeps_every_answer_and_no_scope_inside_another(some: list[Relation]) -> None:
    kept = absorbed(some, SIZES)
    assert answers(kept) == answers(some)
    sets = [set(relation.scope) for relation in kept]
    assert not any(one <= other for i, one in enumerate(sets) for j, other in enumerate(sets) if i != j)


@settings(max_examples=100)
@given(many)
def test_pairwise_consistent_relations_agree_on_what_they_share(some: list[Relation]) -> None:
    kept = list(some)
    pairwise(kept, SIZES)
    assert answers(kept) == answers(some)
    for one in kept:
        for other in kept:
            if len(set(one.scope) & set(other.scope)) > 1:
                assert len(semijoin(one, other, SIZES)) == len(one)
