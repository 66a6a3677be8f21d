"""What the engines, and the questions about days, must refuse: what, how, and a word of the remedy."""

from collections.abc import Callable

from kits.solver import (
    Conditioned,
    Network,
    OneChange,
    Search,
    compile,
    earliest,
    frontier,
    least_by,
    solver_for,
)

NETWORK = Network({"pump": ("P1", "P2"), "spacer": (1, 2, 3)})
SEARCH = Search.of(NETWORK, 10, 1.0)
CONDITIONED = Conditioned(SEARCH, 10)
DIAGRAM = compile(NETWORK)

NONSENSE: list[tuple[str, Callable[[], object], str]] = [
    ("solver_for", lambda: solver_for(NETWORK, seconds=-1), "seconds of 0 or more"),
    ("solver_for", lambda: solver_for(NETWORK, cap=0), "cap"),
    ("solver_for", lambda: solver_for("network"), "Network"),  # type: ignore[arg-type]  # nonsense on purpose
    ("Search", lambda: Search.of(NETWORK, 10, float("nan")), "seconds of 0 or more"),
    ("Search", lambda: SEARCH.within(-1), "seconds of 0 or more"),
    ("Search", lambda: SEARCH.options({"hose": 1}), "no variable 'hose'"),
    ("Search", lambda: SEARCH.changes({"hose": 1}), "no variable 'hose'"),
    ("OneChange", lambda: OneChange(DIAGRAM).options({"pump": "P9"}), "no value 'P9'"),
    ("OneChange", lambda: OneChange(CONDITIONED).options({"hose": 1}), "no variable 'hose'"),
    ("Search", lambda: SEARCH.options({}, {("pump", "P1"): 0.5}), "whole number"),  # type: ignore[dict-item]  # on purpose
    ("Search", lambda: SEARCH.best({}, None, [("pump", "P9")]), "no value 'P9'"),
    ("Search", lambda: SEARCH.possible({"pump": "P9"}), "no value 'P9'"),
    ("Search", lambda: SEARCH.count({"pump": "P9"}), "no value 'P9'"),
    ("Search", lambda: SEARCH.engine_for({"pump": "P9"}), "no value 'P9'"),
    ("Search", lambda: SEARCH.conflict({}, "pump", "P1"), "no conflict to explain"),
    ("Search", lambda: SEARCH.repairs({}, "pump", "P1", 0), "one repair or more"),
    ("Conditioned", lambda: CONDITIONED.within(-1), "seconds of 0 or more"),
    ("Conditioned", lambda: CONDITIONED.options({"hose": 1}), "no variable 'hose'"),
    ("Conditioned", lambda: CONDITIONED.options({}, {("pump", "P9"): 1}), "no value 'P9'"),
    ("Conditioned", lambda: CONDITIONED.best({}, None, [("pump", "P9")]), "no value 'P9'"),
    ("Conditioned", lambda: CONDITIONED.possible({}, [("hose", 1)]), "no variable 'hose'"),
    ("Conditioned", lambda: CONDITIONED.count({"pump": "P9"}), "no value 'P9'"),
    ("Conditioned", lambda: CONDITIONED.engine_for({"pump": "P9"}), "no value 'P9'"),
    ("Compiled", lambda: DIAGRAM.options({}, None, [("pump", "P9")]), "no value 'P9'"),
    ("earliest", lambda: earliest(DIAGRAM, {}, {("pump", "P9"): 1}), "no value 'P9'"),
    ("earliest", lambda: earliest(DIAGRAM, {"hose": 1}, {}), "no variable 'hose'"),
    ("frontier", lambda: frontier(DIAGRAM, {}, None, {("pump", "P1"): 1.5}), "whole number"),  # type: ignore[dict-item]  # on purpose
    ("frontier", lambda: frontier(DIAGRAM, {"hose": 1}, None, {}), "no variable 'hose'"),
    ("least_by", lambda: least_by(DIAGRAM, {}, None, {("hose", 1): 1}, 3), "no variable 'hose'"),
]  # fmt: skip
