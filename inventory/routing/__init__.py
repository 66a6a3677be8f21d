"""The order in which a picker visits the bins. Pure: plain values in, plain values out.

Callers import from this root.
"""

from .serpentine import RoutingError, Spot, walk_length, walk_order

__all__ = ["RoutingError", "Spot", "walk_length", "walk_order"]
