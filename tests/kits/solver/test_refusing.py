"""Arguments that make no sense are refused with what to do instead, by everything that is exported."""

from collections.abc import Callable
from typing import Any

import pytest

import kits.solver
from kits.solver import Contradiction, Network, NetworkError, Sum, Table, TooLarge, compile

from .second.nonsense import NONSENSE as NONSENSE_FOR_THE_OTHERS

NETWORK = Network({"pump": ("P1", "P2"), "spacer": (1, 2, 3)}, [Table(("pump", "spacer"), [("P1", 1)])])
ANSWERING = compile(NETWORK)
LENGTHS = {"spacer": {1: (1, 1), 2: (2, 2), 3: (3, 3)}}
ON: Any = ("pump",)


def a_sum(**given: Any) -> Sum:
    return Sum(**{"scope": ("spacer",), "lengths": LENGTHS, "at_least": 0, "at_most": 9, **given})


NONSENSE: list[tuple[str, Callable[[], object], str]] = [
    ("Table", lambda: Table((), []), "one or more variable names"),
    ("Table", lambda: Table("pump", []), "tuple"),  # type: ignore[arg-type]  # nonsense on purpose
    ("Table", lambda: Table(("pump", "pump"), []), "twice"),
    ("Table", lambda: Table(ON, [("P1", 1)]), "row of 2 values for 1"),
    ("Table", lambda: Table(ON, 5), "rows"),  # type: ignore[arg-type]  # nonsense on purpose
    ("Table", lambda: Table(ON, [5]), "rows"),  # type: ignore[list-item]  # nonsense on purpose
    ("Table", lambda: Table(ON, ["P"]), "rows"),  # type: ignore[list-item]  # nonsense on purpose
    ("Table", lambda: Table(ON, [([],)]), "hash"),  # type: ignore[list-item]  # nonsense on purpose
    ("Table", lambda: Table(ON, [], allowed="no"), "allowed"),  # type: ignore[arg-type]  # nonsense on purpose
    ("Sum", lambda: a_sum(scope=["spacer"]), "tuple"),
    ("Sum", lambda: a_sum(lengths={}), "no lengths for spacer"),
    ("Sum", lambda: a_sum(lengths=3), "lengths"),
    ("Sum", lambda: a_sum(lengths={"spacer": {1: 5}}), "two whole numbers"),
    ("Sum", lambda: a_sum(lengths={"spacer": {1: (2, 1)}}), "low to high"),
    ("Sum", lambda: a_sum(lengths={"spacer": {1: (1.5, 2)}}), "two whole numbers"),
    ("Sum", lambda: a_sum(lengths={"spacer": {1: (0, 2**60)}}), "larger unit"),
    ("Sum", lambda: a_sum(at_least=0.5), "whole number or None"),
    ("Sum", lambda: a_sum(at_most=True), "whole number or None"),
    ("Sum", lambda: a_sum(at_most=2**70), "larger unit"),
    ("Network", lambda: Network({}), "one variable or more"),
    ("Network", lambda: Network(["pump"]), "mapping"),  # type: ignore[arg-type]  # nonsense on purpose
    ("Network", lambda: Network({"pump": 3}), "values"),  # type: ignore[dict-item]  # nonsense on purpose
    ("Network", lambda: Network({"pump": [[1]]}), "hash"),  # type: ignore[list-item]  # nonsense on purpose
    ("Network", lambda: Network({"pump": ()}), "leave it out"),
    ("Network", lambda: Network({"pump": (1, 1)}), "twice"),
    ("Network", lambda: Network({3: (1,)}), "text"),  # type: ignore[dict-item]  # nonsense on purpose
    ("Network", lambda: Network({"pump": (1,)}, [Table(("hose",), [])]), "'hose', which is no variable"),
    ("Network", lambda: Network({"pump": (1,)}, [Table(ON, [(2,)])]), "pump = 2"),
    ("Network", lambda: Network({"pump": (1,)}, [a_sum()]), "tables"),  # type: ignore[list-item]  # on purpose
    ("Network", lambda: Network({"spacer": (4,)}, [], [a_sum()]), "give every value one"),
    ("Network", lambda: Network({"pump": (1,)}, costs={("pump", 2): 1}), "has no value 2"),
    ("Network", lambda: Network({"pump": (1,)}, costs={("pump", 1): 1.5}), "whole number"),  # type: ignore[dict-item]  # on purpose
    ("Network", lambda: Network({"pump": (1,)}, costs={("pump", 1): 2**55}), "larger unit"),
    ("Network", lambda: Network({"pump": (1,)}, costs={"pump": 3}), "variable and value"),  # type: ignore[dict-item]  # on purpose
    ("compile", lambda: compile("network"), "Network"),  # type: ignore[arg-type]  # nonsense on purpose
    ("compile", lambda: compile(NETWORK, cap=0), "cap"),
    ("compile", lambda: compile(NETWORK, cap="many"), "cap"),  # type: ignore[arg-type]  # nonsense on purpose
    ("Compiled", lambda: ANSWERING.options({"hose": 1}), "no variable 'hose'; there are pump"),
    ("Compiled", lambda: ANSWERING.options({"pump": "P9"}), r"has no value 'P9'; it has \('P1'"),
    ("Compiled", lambda: ANSWERING.options({"pump": []}), "no value"),  # type: ignore[dict-item]  # on purpose
    ("Compiled", lambda: ANSWERING.options(3), "mapping"),  # type: ignore[arg-type]  # nonsense on purpose
    ("Compiled", lambda: ANSWERING.options({}, {("pump", "P1"): "5"}), "whole number"),  # type: ignore[dict-item]  # on purpose
    ("Compiled", lambda: ANSWERING.options({}, {("hose", "P1"): 5}), "no variable 'hose'"),
    ("Compiled", lambda: ANSWERING.count({"hose": 1}), "no variable 'hose'"),
    ("Compiled", lambda: ANSWERING.possible({"hose": 1}), "no variable 'hose'"),
    ("Compiled", lambda: ANSWERING.best({"hose": 1}), "no variable 'hose'"),
    ("Compiled", lambda: ANSWERING.conflict({}, "pump", "P1"), "no conflict to explain: pump = P1"),
    ("Compiled", lambda: ANSWERING.conflict({"pump": "P1"}), "no conflict to explain: the choices"),
    ("Compiled", lambda: ANSWERING.conflict({}, "pump", "P9"), "has no value 'P9'"),
    ("Compiled", lambda: ANSWERING.repairs({}, "hose", 1, 1), "no variable 'hose'"),
    ("Compiled", lambda: ANSWERING.repairs({}, "pump", "P1", 0), "one repair or more"),
    ("Compiled", lambda: ANSWERING.repairs({}, "pump", "P1", 1.5), "one repair or more"),  # type: ignore[arg-type]  # on purpose
    ("Compiled", lambda: ANSWERING.repairs({"spacer": 1}, "pump", "P1", 1, None, {"spacer": 0}), "1 or more"),
    ("Compiled", lambda: ANSWERING.repairs({"spacer": 1}, "pump", "P1", 1, None, {"hose": 2}), "'hose'"),
    ("Compiled", lambda: ANSWERING.repairs({"spacer": 1}, "pump", "P1", 1, None, {"spacer": 2**60}), "unit"),
    ("rest", lambda: kits.solver.rest(NETWORK, {"hose": (1,)}), "no variable 'hose'"),
    ("rest", lambda: kits.solver.rest(NETWORK, {"pump": ("P9",)}), "has no value 'P9'"),
    ("rest", lambda: kits.solver.rest(NETWORK, {"pump": ("P1",)}), "what is left of spacer"),
    ("unfolded", lambda: kits.solver.unfolded(ANSWERING, ["hose"]), "no variable 'hose'"),
    ("unfolded", lambda: kits.solver.unfolded(ANSWERING, ON, [("hose", 1)]), "no variable 'hose'"),
    ("unfolded", lambda: kits.solver.unfolded(ANSWERING, ON, [("pump", "P9")]), "has no value 'P9'"),
    ("read_xcsp", lambda: kits.solver.read_xcsp("no/such/file.xml"), "no/such/file.xml"),
    ("read_xcsp", lambda: kits.solver.read_xcsp(3), "path"),  # type: ignore[arg-type]  # nonsense on purpose
]  # fmt: skip


@pytest.mark.parametrize(("what", "ask", "remedy"), NONSENSE)
def test_nonsense_is_refused_with_a_remedy(what: str, ask: Callable[[], object], remedy: str) -> None:
    with pytest.raises((NetworkError, TypeError), match=remedy):
        ask()


def test_everything_exported_is_fed_nonsense() -> None:
    answers = {"Conflict", "NOT_YET_KNOWN", "NotYetKnown", "Point", "Repair", "Size", "Unfolded", "Way"}
    errors = {"Barred", "Contradiction", "NetworkError", "NotCounted", "OutOfTime", "TooLarge"}
    types = {"Choices", "Cost", "Engine", "MaybeOptions", "Options", "Solver"}
    fed = {what for what, _, _ in (*NONSENSE, *NONSENSE_FOR_THE_OTHERS)}
    assert fed == set(kits.solver.__all__) - answers - errors - types


def test_choices_that_exclude_each_other_are_said() -> None:
    table = Table(("pump", "spacer"), [("P1", 1), ("P2", 2)], True, "the flange of P2 needs spacer 2")
    answering = compile(Network({"pump": ("P1", "P2"), "spacer": (1, 2)}, [table]))
    with pytest.raises(Contradiction) as raised:
        answering.options({"pump": "P2", "spacer": 1})
    assert raised.value.conflict.choices == {"pump": "P2", "spacer": 1}
    assert str(raised.value) == (
        "these choices exclude each other: pump = P2 and spacer = 1: the flange of P2 needs spacer 2"
    )


def test_a_network_without_any_answer_compiles_and_says_so() -> None:
    answering = compile(Network({"pump": ("P1",)}, [Table(("pump",), [], True, "none is made any more")]))
    assert answering.count({}) == 0 and answering.size.nodes == 0
    with pytest.raises(Contradiction, match="any choice: none is made any more"):
        answering.options({})


def test_what_would_pass_the_cap_is_too_large() -> None:
    variables = {f"v{i}": range(30) for i in range(6)}
    ring = [(f"v{i}", f"v{(i + 1) % 6}") for i in range(6)]
    tables = [Table(pair, [(a, b) for a in range(30) for b in range(30) if (a + b) % 3]) for pair in ring]
    chords = [Table((f"v{i}", f"v{i + 3}"), [(a, b) for a in range(30) for b in range(30) if (a * b) % 5])
              for i in range(3)]  # fmt: skip
    with pytest.raises(TooLarge, match="more than the cap of 2000"):
        compile(Network(variables, [*tables, *chords]), cap=2000)
