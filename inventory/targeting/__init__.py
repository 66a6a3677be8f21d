"""Targets: what stock level each part should have, and why. Reckoned by runs, or set by hand.

`start` has a run made by a worker and `go_on` does it; each part by itself first, then those that kits need
all together, so that the money completes the most kits.
"""

from .by_hand import leave_to_runs, set_by_hand
from .expecting import PartForecast, forecast_of
from .runs import begin, go_on, start, take_up, unfinished

__all__ = [
    "PartForecast",
    "begin",
    "forecast_of",
    "go_on",
    "leave_to_runs",
    "set_by_hand",
    "start",
    "take_up",
    "unfinished",
]
