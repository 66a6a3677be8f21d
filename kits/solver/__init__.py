"""What can still go into every slot, exactly, at once: networks compiled to diagrams.

Pure: plain values in, plain values out. Callers import from this root.
"""

from kits.solver.answers import NOT_YET_KNOWN, Conflict, Engine, MaybeOptions, NotYetKnown, Repair, Size
from kits.solver.changing import OneChange
from kits.solver.compiled import Compiled, Options, compile
from kits.solver.conditioned import Conditioned
from kits.solver.conditioning import rest
from kits.solver.engines import Solver, solver_for
from kits.solver.errors import Barred, Contradiction, NetworkError, NotCounted, OutOfTime, TooLarge
from kits.solver.frontier import Point, earliest, frontier, least_by
from kits.solver.network import Choices, Cost, Network, Sum, Table
from kits.solver.searching import Search
from kits.solver.unfolding import Unfolded, Way, unfolded
from kits.solver.xcsp import read_xcsp

__all__ = [
    "NOT_YET_KNOWN",
    "Barred",
    "Choices",
    "Compiled",
    "Conditioned",
    "Conflict",
    "Contradiction",
    "Cost",
    "Engine",
    "MaybeOptions",
    "Network",
    "NetworkError",
    "NotCounted",
    "NotYetKnown",
    "OneChange",
    "Options",
    "OutOfTime",
    "Point",
    "Repair",
    "Search",
    "Size",
    "Solver",
    "Sum",
    "Table",
    "TooLarge",
    "Unfolded",
    "Way",
    "compile",
    "earliest",
    "frontier",
    "least_by",
    "read_xcsp",
    "rest",
    "solver_for",
    "unfolded",
]
