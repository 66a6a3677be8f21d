"""Counts of whole answers against published ones and closed forms.

'medium' is an instance of the public BR4CP benchmark of real car configurations (XCSP 2.1); that it has
278,744 answers was published by the authors of toulbar2. It is not part of this repository: its tests
run where the environment variable SHIMWRIGHT_XCSP names the file.
"""

import os
from random import Random

import pytest

from kits.solver import Network, Table, compile, read_xcsp
from tests.kits.solver.replaying import replay
from tests.kits.solver.sat import Sat

MEDIUM = os.environ.get("SHIMWRIGHT_XCSP", "")
ANSWERS_OF_MEDIUM = 278_744

# Common knowledge of combinatorics: OEIS A000170, ways to place n queens (n = 1 to 8); from memory.
QUEENS = (1, 0, 0, 2, 10, 4, 40, 92)
# Permutations without a fixed point (OEIS A000166, n = 2 to 6); from memory, and by its recurrence.
DERANGEMENTS = (1, 2, 9, 44, 265)


@pytest.mark.parametrize(("n", "ways"), list(enumerate(QUEENS, 1)))
def test_queens_that_attack_none_other(n: int, ways: int) -> None:
    columns = [f"row {i}" for i in range(n)]
    tables = [
        Table(
            (columns[i], columns[j]),
            [(a, b) for a in range(n) for b in range(n) if a != b and abs(a - b) != j - i],
        )
        for j in range(n)
        for i in range(j)
    ]
    assert compile(Network({column: range(n) for column in columns}, tables)).count({}) == ways


@pytest.mark.parametrize(("n", "ways"), list(enumerate(DERANGEMENTS, 2)))
def test_permutations_without_a_fixed_point(n: int, ways: int) -> None:
    names = [f"place {i}" for i in range(n)]
    apart = [
        Table((names[i], names[j]), [(a, a) for a in range(n)], allowed=False)
        for j in range(n)
        for i in range(j)
    ]
    moved = [Table((name,), [(i,)], allowed=False) for i, name in enumerate(names)]
    assert compile(Network({name: range(n) for name in names}, [*apart, *moved])).count({}) == ways


if MEDIUM:

    def test_medium_has_the_published_number_of_answers() -> None:
        assert compile(read_xcsp(MEDIUM)).count({}) == ANSWERS_OF_MEDIUM

    @pytest.mark.parametrize("seed", range(3))
    def test_replays_of_medium_agree_with_the_sat_solver_at_every_step(seed: int) -> None:
        network = read_xcsp(MEDIUM)
        sat = Sat(network)
        assert replay(network, compile(network), sat, Random(seed)) > 0
        sat.close()
