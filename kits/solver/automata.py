"""Sums, and long lists of what is forbidden, as small tables over hidden running states.

A constraint over many variables is read one variable after the other. Between two of them only a state
is kept: how far the sum has come, or which forbidden row is still being followed. States with the same
continuations are one state, so that few remain; each becomes a value of a hidden variable. From any
values of the visible variables the hidden ones follow, so that nothing is counted twice.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from kits.solver.errors import TooLarge
from kits.solver.relations import Ints, Relation, distinct

_DEAD: Final = -1


@dataclass(frozen=True, eq=False)
class Layer:
    """One variable's step: the class of each of its values, and from state and class to the next state."""

    classes: Ints
    next: Ints


@dataclass(frozen=True)
class Limits:
    at_least: int | None
    at_most: int | None


def sum_layers(lengths: Sequence[Ints], limits: Limits, cap: int) -> list[Layer]:
    """The layers of a sum. `lengths` has for each variable an array of (low, high), a row a value.

    Partial sums between which no rest that is still to come makes a difference are one state.
    """
    split = [np.unique(one, axis=0, return_inverse=True) for one in lengths]
    steps = [(low_high, np.ravel(inverse)) for low_high, inverse in split]
    rests = _rests([low_high for low_high, _ in steps], cap)
    states = np.zeros((1, 2), np.int64)
    layers = []
    for (low_high, inverse), (rest_low, rest_high) in zip(steps, rests, strict=True):
        sums = (states[:, None, :] + low_high[None, :, :]).reshape(-1, 2)
        if len(sums) > cap:
            raise TooLarge(f"a sum with {len(sums)} partial sums, more than the cap of {cap}")
        snapped = np.stack(
            [
                _missing(sums[:, 0], rest_low, limits.at_least),
                _bearing(sums[:, 1], rest_high, limits.at_most),
            ],
            axis=1,
        )
        alive = (snapped[:, 0] < len(rest_low)) & (snapped[:, 1] > 0)
        _, first, number = np.unique(snapped[alive], axis=0, return_index=True, return_inverse=True)
        following = np.full(len(sums), _DEAD, np.int64)
        following[alive] = np.ravel(number)
        layers.append(Layer(inverse, following.reshape(len(states), len(low_high))))
        states = sums[alive][first]
    return layers


def forbidden_layers(rows: Ints, sizes: Sequence[int]) -> list[Layer]:
    """The layers that let everything pass but these rows: a tree of their beginnings, and one safe state."""
    layers, followed, count = [], np.zeros(len(rows), np.int64), 1
    safe: int | None = None  # The number of the safe state, once some row has been left.
    for column, size in enumerate(sizes):
        last = column == len(sizes) - 1
        pairs, number = np.unique(np.stack([followed, rows[:, column]], axis=1), axis=0, return_inverse=True)
        next_safe = 0 if last else len(pairs)
        states = count + (safe is not None)
        following = np.full((states, size), next_safe, np.int64)
        following[pairs[:, 0], pairs[:, 1]] = _DEAD if last else np.arange(len(pairs))
        layers.append(Layer(np.arange(size), following))
        left = states * size > len(pairs)  # Some row is left here, or was before.
        followed, count, safe = np.ravel(number), len(pairs), next_safe if left else None
    return layers


def minimised(layers: Sequence[Layer]) -> list[Layer] | None:
    """The same layers with equivalent states as one, and without states from which nothing goes on.

    None where nothing passes at all.
    """
    found: list[Layer] = []
    # All that ends well is one state. The last entry is for the dead, whose number is -1.
    renamed = np.append(np.zeros(1 + max(int(layers[-1].next.max(initial=0)), 0), np.int64), _DEAD)
    for layer in reversed(layers):
        following = renamed[layer.next]
        unique, number = np.unique(following, axis=0, return_inverse=True)
        dead = (unique == _DEAD).all(axis=1)
        place = np.where(dead, _DEAD, np.cumsum(~dead) - 1)
        found.append(Layer(layer.classes, unique[~dead]))
        renamed = np.append(place[np.ravel(number)], _DEAD)
    found.reverse()
    return None if renamed[0] == _DEAD else found


def as_tables(scope: Sequence[int], layers: Sequence[Layer], hidden_from: int) -> Iterator[Relation]:
    """A table for each layer; the states between two layers are variables numbered from `hidden_from`."""
    for place, (variable, layer) in enumerate(zip(scope, layers, strict=True)):
        by_value = layer.next[:, layer.classes]  # state by value
        state, value = np.nonzero(by_value != _DEAD)
        columns = [value, by_value[state, value]]
        names = [variable, hidden_from + place]
        if place > 0:
            columns.insert(0, state)
            names.insert(0, hidden_from + place - 1)
        if place == len(scope) - 1:  # After the last there is only "well", which need not be kept.
            columns.pop()
            names.pop()
        yield Relation(tuple(names), np.stack(columns, axis=1).astype(np.int64))


def hidden_sizes(layers: Sequence[Layer]) -> list[int]:
    """How many states there are between each two layers."""
    return [len(layer.next) for layer in layers[1:]]


def _rests(steps: Sequence[Ints], cap: int) -> list[tuple[Ints, Ints]]:
    """After each variable: the sums of lows, and of highs, that the variables still to come can make."""
    low = high = np.zeros(1, np.int64)
    found = [(low, high)]
    for step in reversed(steps[1:]):
        low, high = (distinct(np.add.outer(rest, step[:, side])) for side, rest in ((0, low), (1, high)))
        if max(len(low), len(high)) > cap:
            raise TooLarge(f"a sum with more than {cap} rests")
        found.append((low, high))
    found.reverse()
    return found


def _missing(sums: Ints, rests: Ints, at_least: int | None) -> Ints:
    """How many of the rests would leave the sum too low."""
    if at_least is None:
        return np.zeros(len(sums), np.int64)
    return np.searchsorted(rests, at_least - sums, "left")


def _bearing(sums: Ints, rests: Ints, at_most: int | None) -> Ints:
    """How many of the rests the sum can still bear."""
    if at_most is None:
        return np.ones(len(sums), np.int64)
    return np.searchsorted(rests, at_most - sums, "right")
