"""What a check says about parts together, from best to worst."""

from __future__ import annotations

import enum
from collections.abc import Iterable

from kits.fit.errors import expect


class Verdict(enum.Enum):
    """What a check says about parts together, from best to worst."""

    GOES_TOGETHER = "goes together"
    GOES_WITH_WORK = "goes with work"
    MEASURE_FIRST = "measure first"
    DOES_NOT_GO = "does not go"

    @property
    def rank(self) -> int:
        """0 for the best verdict to 3 for the worst."""
        return _RANKS[self]

    def __lt__(self, other: Verdict) -> bool:
        return self.rank < other.rank if isinstance(other, Verdict) else NotImplemented


_RANKS = {verdict: rank for rank, verdict in enumerate(Verdict)}


def worst(verdicts: Iterable[Verdict]) -> Verdict:
    """The worst of these verdicts; of none, that everything goes together."""
    found = Verdict.GOES_TOGETHER
    for verdict in verdicts:
        expect(verdict, Verdict, "a verdict")
        found = max(found, verdict, key=_RANKS.__getitem__)
    return found
