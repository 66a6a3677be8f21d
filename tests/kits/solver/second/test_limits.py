"""Past the time limit an answer is not yet known: never a guess, and never "not possible"."""

import subprocess
import sys

import pytest

from kits.solver import NOT_YET_KNOWN, OutOfTime, compile, solver_for

from .drawn import crowded, search

NETWORK = crowded(slots=6, candidates=8)


@pytest.mark.parametrize("seconds", [0, 1e-9, 0.05, 0.3, 1.0])
def test_what_is_known_in_time_is_right_and_the_rest_not_yet_known(seconds: float) -> None:
    exact = compile(NETWORK)
    for choices in ({}, {"slot 0": exact.best({})[0]["slot 0"]}):
        right = exact.options(choices)
        for name, options in search(NETWORK, seconds).options(choices).items():
            for value, cost in options.items():
                assert cost is NOT_YET_KNOWN or cost == right[name][value]


def test_without_any_time_nothing_is_known_but_what_propagation_rules_out() -> None:
    right = compile(NETWORK).options({})
    for name, options in search(NETWORK, 0).options({}).items():
        for value, cost in options.items():
            assert cost is (NOT_YET_KNOWN if cost is not None else right[name][value])


def test_more_time_settles_everything() -> None:
    found = search(NETWORK).within(300).options({})
    assert NOT_YET_KNOWN not in {cost for options in found.values() for cost in options.values()}


def test_questions_with_one_answer_are_not_answered_past_the_limit() -> None:
    solver = search(NETWORK, 0)
    for ask in (solver.best, solver.possible):
        with pytest.raises(OutOfTime, match="more seconds"):
            ask({})
    with pytest.raises(OutOfTime):
        solver.repairs({"slot 0": 1}, "slot 1", 1, 1)


def test_not_yet_known_is_none_of_the_answers() -> None:
    assert NOT_YET_KNOWN is not None and NOT_YET_KNOWN
    others: list[object] = [0, 1, -1, False, True]
    assert NOT_YET_KNOWN not in others


def test_engines_say_which_they_are() -> None:
    assert solver_for(NETWORK).engine == "diagram"
    low = solver_for(NETWORK, cap=200)
    assert low.engine == "conditioned"
    assert low.engine_for({}) == "search"
    fixed = {name: value for name, value in compile(NETWORK).best({})[0].items() if name != "slot 0"}
    assert low.engine_for(dict(list(fixed.items())[:1])) == "search"
    assert solver_for(NETWORK, cap=200).count(fixed) == compile(NETWORK).count(fixed)
    assert search(NETWORK).engine_for({}) == "search"


def test_the_search_library_is_loaded_only_when_something_is_searched() -> None:
    code = "import sys, kits.solver; sys.exit('ortools' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
