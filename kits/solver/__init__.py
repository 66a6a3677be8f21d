"""What can still go into every slot, exactly, at once: networks compiled to diagrams.

Pure: plain values in, plain values out. Callers import from this root.
"""

from kits.solver.answers import Conflict, Repair, Size
from kits.solver.compiled import Compiled, Options, compile
from kits.solver.errors import Contradiction, NetworkError, TooLarge
from kits.solver.network import Choices, Cost, Network, Sum, Table
from kits.solver.xcsp import read_xcsp

__all__ = [
    "Choices",
    "Compiled",
    "Conflict",
    "Contradiction",
    "Cost",
    "Network",
    "NetworkError",
    "Options",
    "Repair",
    "Size",
    "Sum",
    "Table",
    "TooLarge",
    "compile",
    "read_xcsp",
]
