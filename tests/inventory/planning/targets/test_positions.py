"""Positions after a review, against the steady state of their chain."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from inventory.planning.lead_demand import demand_in
from inventory.planning.targets import positions

from .replaying import standing_positions

Floats = NDArray[np.float64]

demands = st.tuples(st.floats(0.05, 6), st.floats(0, 4)).map(
    lambda two: demand_in(two[0], two[0] * (1 + two[1]), 1, 1)
)


def one(window: Floats, lot: int, pack: int) -> Floats:
    shares: Floats = positions(np.pad(window, (0, lot))[None], np.array([lot]), np.array([pack]))[0]
    return shares


@given(demands, st.integers(1, 25))
def test_packs_of_one_are_exact(window: Floats, lot: int) -> None:
    assert one(window, lot, 1) == pytest.approx(standing_positions(window, lot, 1), abs=1e-7)


@given(demands, st.integers(1, 25))
def test_a_lot_of_one_pack_goes_evenly_through_its_positions(window: Floats, lot: int) -> None:
    assert one(window, lot, lot) == pytest.approx(standing_positions(window, lot, lot), abs=1e-7)
    assert one(window, lot, lot) == pytest.approx(np.full(lot, 1 / lot), abs=1e-9)


@given(demands, st.integers(2, 7), st.integers(2, 5))
def test_several_packs_are_exact(window: Floats, pack: int, packs: int) -> None:
    lot = pack * packs
    assert one(window, lot, pack) == pytest.approx(standing_positions(window, lot, pack), abs=1e-7)


def test_large_packs_are_exact() -> None:
    window = demand_in(3, 20, 1, 1)
    assert one(window, 400, 100) == pytest.approx(standing_positions(window, 400, 100), abs=1e-7)


@given(st.lists(st.tuples(demands, st.integers(1, 4), st.integers(1, 6)), min_size=1, max_size=6))
def test_a_table_is_as_its_rows(parts: list[tuple[Floats, int, int]]) -> None:
    lots = np.array([pack * packs for _, pack, packs in parts])
    width = int(lots.max())
    windows = np.array([np.pad(window, (0, width))[:width] for window, _, _ in parts])
    table = positions(windows, lots, np.array([pack for _, pack, _ in parts]))
    assert table.sum(axis=1) == pytest.approx(np.ones(len(parts)))
    for row, (window, pack, packs) in zip(table, parts, strict=True):
        assert row == pytest.approx(
            np.pad(one(window, pack * packs, pack), (0, width - pack * packs)), abs=1e-8
        )
