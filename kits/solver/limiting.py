"""How long a search may go on, without a clock.

The search library counts its own work in a measure that depends on the work alone, so that the same
question has the same answer on every machine and at every hour. Some `WORK` of it passes in a second of
one processor (0.15 to 0.7 was seen on networks of 20 to 30 variables); what it takes to state a
question comes on top. By the wall clock a search is only cut off where it takes far longer than that.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

WORK: Final = 0.25
_STATING: Final = 0.03  # Seconds.
_SHARES: Final = 8


@dataclass
class Budget:
    """The seconds that are left for a question, shared by all searches for it."""

    seconds: float

    def spend(self, work: float) -> None:
        """Take off what a search has used, in the library's own measure."""
        self.seconds = max(0.0, self.seconds - work / WORK - _STATING)

    def share(self, pending: int) -> float:
        """What one of the pending searches may take: no less than is of use, nor all that is left."""
        return self.seconds / min(pending, _SHARES)
