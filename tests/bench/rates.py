"""How many in a second, and how long each took."""

import statistics
from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True)
class Rate:
    """`seconds` are those that each took; the rate is over all clients."""

    a_second: float
    seconds: Sequence[float]

    @property
    def median(self) -> float:
        return statistics.median(self.seconds)

    def __str__(self) -> str:
        """'1,234/s (p50 0.8, p99 2.3 ms)'."""
        high = statistics.quantiles(self.seconds, n=100, method="inclusive")[-1]
        return f"{self.a_second:,.0f}/s (p50 {self.median * 1000:.1f}, p99 {high * 1000:.1f} ms)"
