"""What values cost, and which are barred, as one array by the number of the value."""

from __future__ import annotations

from collections.abc import Collection, Mapping

import numpy as np

from kits.solver.building import Numbering
from kits.solver.network import Cost, Network, check_choice, check_costs
from kits.solver.passes import Floats


def weigh(
    network: Network, numbering: Numbering, costs: Mapping[Cost, int] | None, barred: Collection[Cost]
) -> Floats:
    """The cost of every value (the network's own, if `costs` is None), infinite where it is barred."""
    if costs is not None:
        check_costs(network, costs)
    weights = np.zeros(int(numbering.offsets[-1]))
    for (name, value), cost in (network.costs if costs is None else costs).items():
        weights[numbering.place(name, value)] = cost
    for name, value in barred:
        check_choice(network, name, value)
        weights[numbering.place(name, value)] = np.inf
    return weights
