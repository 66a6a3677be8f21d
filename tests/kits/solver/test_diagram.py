"""The diagram: equal continuations are one node, and what its arcs say is what the buckets said."""

import numpy as np
import pytest
from hypothesis import assume, given, settings

from kits.solver.diagram import Diagram, build
from kits.solver.elimination import eliminate, min_fill_order
from kits.solver.errors import TooLarge
from kits.solver.relations import Ints, Relation, everything

from .test_consistency import answers, many
from .test_relations import SIZES

OFFSETS = np.r_[0, np.cumsum(SIZES)]
Content = frozenset[tuple[int, tuple[int, ...]]]


def diagram_of(some: list[Relation], cap: int = 10_000) -> Diagram | None:
    order = min_fill_order(some, SIZES)
    buckets = eliminate(some, SIZES, order, cap)
    return None if buckets is None else build(buckets, SIZES, OFFSETS, cap)


def ends(starts: Ints, length: int) -> list[tuple[int, int]]:
    return list(zip(starts.tolist(), [*starts.tolist()[1:], length], strict=True))


def contents(diagram: Diagram) -> dict[int, Content]:
    """Every node's rows: the value of each, and its children."""
    found: dict[int, Content] = {0: frozenset()}
    for level in diagram.levels:
        rows = [
            (value, tuple(level.children[start:end].tolist()))
            for value, (start, end) in zip(
                level.values.tolist(), ends(level.child_starts, len(level.children)), strict=True
            )
        ]
        for node, (start, end) in enumerate(ends(level.row_starts, len(rows)), level.first):
            found[node] = frozenset(rows[start:end])
            assert len(found[node]) == end - start, "a row stands twice"
            assert all(level.row_nodes[start:end] == node)
    return found


def unfolded(nodes: dict[int, Content], node: int) -> set[frozenset[int]]:
    """All whole answers below a node, as the numbers of their values."""
    if node == 0:
        return {frozenset()}
    found: set[frozenset[int]] = set()
    for value, children in nodes[node]:
        some: set[frozenset[int]] = {frozenset({value} - {-1})}
        for child in children:
            some = {one | other for one in some for other in unfolded(nodes, child)}
        found |= some
    return found


@settings(max_examples=100)
@given(many)
def test_unfolding_gives_exactly_the_answers(some: list[Relation]) -> None:
    diagram = diagram_of(some)
    variables = sorted({v for one in some for v in one.scope})
    wanted = {frozenset(int(OFFSETS[v]) + one[v] for v in variables) for one in answers(some)}
    if diagram is None:
        assert not wanted
        return
    assert unfolded(contents(diagram), diagram.nodes - 1) == wanted


@settings(max_examples=100)
@given(many)
def test_no_two_nodes_are_equal_and_each_has_rows_and_arcs(some: list[Relation]) -> None:
    diagram = diagram_of(some)
    assume(diagram is not None)
    assert diagram is not None
    nodes = contents(diagram)
    assert sorted(nodes) == list(range(diagram.nodes))
    assert len(set(nodes.values())) == diagram.nodes and all(nodes[node] for node in nodes if node)
    arcs = sorted((child, row) for row, child in arcs_by_row(diagram))
    assert len(arcs) == diagram.arcs
    into = [
        pair
        for level in diagram.levels
        for pair in zip(level.into_nodes.tolist(), level.into_rows.tolist(), strict=True)
    ]
    assert into == [arc for arc in arcs if arc[0] != 0]
    assert {child for child, _ in arcs} | {diagram.nodes - 1} >= set(range(1, diagram.nodes))


def arcs_by_row(diagram: Diagram) -> list[tuple[int, int]]:
    rows, found = 0, list[tuple[int, int]]()
    for level in diagram.levels:
        for start, end in ends(level.child_starts, len(level.children)):
            found += [(rows, child) for child in level.children[start:end].tolist()]
            rows += 1
    assert rows == diagram.rows
    return found


def test_situations_with_equal_continuations_are_one_node() -> None:
    """Whatever the first is, the others may be anything: one node for each of them, not one a value."""
    star = [everything((3, v), SIZES, 100) for v in (0, 1, 4)]
    diagram = diagram_of(star)
    assert diagram is not None and diagram.nodes == 1 + 3 + 1 + 1


def test_more_arcs_than_the_cap_are_too_large() -> None:
    star = [everything((3, v), SIZES, 100) for v in (0, 1, 4)]
    buckets = eliminate(star, SIZES, min_fill_order(star, SIZES), 100)
    assert buckets is not None
    with pytest.raises(TooLarge, match="more than 3 arcs"):
        build(buckets, SIZES, OFFSETS, 3)
