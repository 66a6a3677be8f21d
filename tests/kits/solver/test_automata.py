"""Automata of sums and bans accept exactly the right words, with no state too many."""

from collections.abc import Callable, Sequence
from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kits.solver.automata import (
    Layer,
    Limits,
    as_tables,
    forbidden_layers,
    hidden_sizes,
    minimised,
    sum_layers,
)
from kits.solver.errors import TooLarge

Word = tuple[int, ...]
Lengths = list[list[tuple[int, int]]]
limits = st.builds(Limits, st.none() | st.integers(-9, 9), st.none() | st.integers(-9, 9))
length = st.tuples(st.integers(-6, 6), st.integers(0, 3)).map(lambda pair: (pair[0], sum(pair)))
all_lengths = st.lists(st.lists(length, min_size=1, max_size=4), min_size=1, max_size=5)


def accepts(layers: Sequence[Layer] | None, word: Word) -> bool:
    state = 0
    for layer, letter in zip(layers or (), word, strict=layers is not None):
        state = int(layer.next[state, layer.classes[letter]])
        if state < 0:
            return False
    return layers is not None


def fewest_states(words: list[Word], length: int) -> list[int]:
    """Between two letters: how many different sets of endings the beginnings have (Myhill and Nerode)."""
    found = []
    for cut in range(1, length):
        endings: dict[Word, set[Word]] = {}
        for word in words:
            endings.setdefault(word[:cut], set()).add(word[cut:])
        found.append(len({frozenset(some) for some in endings.values()}))
    return found


def is_exactly(layers: Sequence[Layer], sizes: Sequence[int], wanted: Callable[[Word], bool]) -> None:
    smallest = minimised(layers)
    every = list(product(*map(range, sizes)))
    words = [word for word in every if wanted(word)]
    assert [word for word in every if accepts(layers, word)] == words
    assert [word for word in every if accepts(smallest, word)] == words
    assert (smallest is None) == (not words)
    if smallest is not None:
        assert hidden_sizes(smallest) == fewest_states(words, len(sizes))
        tables_say(smallest, sizes, words)


def tables_say(layers: Sequence[Layer], sizes: Sequence[int], words: list[Word]) -> None:
    """The tables have one row of hidden states for each word, and for no other."""
    variables = range(len(sizes))
    tables = list(as_tables(variables, layers, len(sizes)))
    found: list[dict[int, int]] = [{}]
    for table in tables:
        rows = [dict(zip(table.scope, row, strict=True)) for row in table.rows.tolist()]
        found = [
            one | row for one in found for row in rows if all(one.get(v, x) == x for v, x in row.items())
        ]
    assert sorted(tuple(one[v] for v in variables) for one in found) == words


def as_arrays(lengths: Lengths) -> list[np.ndarray[tuple[int, ...], np.dtype[np.int64]]]:
    return [np.array(some, np.int64) for some in lengths]


@settings(max_examples=300)
@given(all_lengths, limits)
def test_a_sum_accepts_exactly_what_lies_between_its_limits(lengths: Lengths, between: Limits) -> None:
    def wanted(word: Word) -> bool:
        low = sum(lengths[i][letter][0] for i, letter in enumerate(word))
        high = sum(lengths[i][letter][1] for i, letter in enumerate(word))
        return (between.at_least is None or low >= between.at_least) and (
            between.at_most is None or high <= between.at_most
        )

    is_exactly(sum_layers(as_arrays(lengths), between, 1000), [len(some) for some in lengths], wanted)


@settings(max_examples=300)
@given(st.data(), st.lists(st.integers(1, 3), min_size=1, max_size=5))
def test_a_ban_accepts_everything_but_its_rows(data: st.DataObject, sizes: list[int]) -> None:
    rows = data.draw(st.sets(st.tuples(*(st.integers(0, size - 1) for size in sizes)), max_size=8))
    layers = forbidden_layers(np.array(sorted(rows), np.int64).reshape(len(rows), len(sizes)), sizes)
    is_exactly(layers, sizes, lambda word: word not in rows)


def test_equal_lengths_are_one_class() -> None:
    layers = sum_layers(as_arrays([[(1, 2)] * 5, [(0, 0), (3, 3), (0, 0)]]), Limits(0, 4), 100)
    assert [layer.next.shape[1] for layer in layers] == [1, 2]


def test_partial_sums_between_which_nothing_decides_are_one_state() -> None:
    """A thousand different lengths, but only too short, right and too long for the last."""
    layers = sum_layers(
        as_arrays([[(i, i) for i in range(1000)], [(0, 0), (500, 500)]]), Limits(600, 1200), 5000
    )
    smallest = minimised(layers)
    assert smallest is not None and hidden_sizes(smallest) == [3]


def test_a_sum_with_too_many_partial_sums_is_too_large() -> None:
    lengths = as_arrays([[(3**i, 3**i), (0, 0)] for i in range(12)])
    with pytest.raises(TooLarge, match="more than"):
        sum_layers(lengths, Limits(2**12, 3**10), 100)
