"""Which tool to measure a feature with, and which features are worth measuring.

The tools and the rule of ten are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from kits.fit.length import Length


@dataclass(frozen=True, slots=True)
class Tool:
    """A measuring tool and the finest step that it shows."""

    name: str
    reads_to: Length

    def __str__(self) -> str:
        return f"{self.name} ({self.reads_to.mm.normalize():f} mm)"


def _tool(name: str, reads_to: str) -> Tool:
    return Tool(name, Length.parse(reads_to))


_CALIPER = _tool("caliper", "0.02 mm")
_OUTSIDE: Final = (_CALIPER, _tool("micrometer", "0.01 mm"), _tool("fine micrometer", "0.001 mm"))
_BY_ROLE: Final = {
    "bore": (_CALIPER, _tool("inside micrometer", "0.01 mm"), _tool("bore gauge", "0.002 mm")),
    "slot": (_CALIPER, _tool("set of slip gauges", "0.005 mm")),
    "place": (_tool("height gauge", "0.02 mm"), _tool("coordinate measuring machine", "0.002 mm")),
    "depth": (_tool("depth gauge", "0.02 mm"), _tool("depth micrometer", "0.01 mm")),
}


def tool_for(role: str, room: Fraction | None) -> Tool:
    """The coarsest tool that reads to a tenth of `room` (units of 10 nm), else the finest.

    Without a room the middle one: nothing is known that would justify a coarser tool.
    """
    tools = _BY_ROLE.get(role, _OUTSIDE)
    if room is None:
        return tools[1]
    return next((tool for tool in tools if tool.reads_to.units * 10 <= room), tools[-1])


def settling(spreads: Sequence[Fraction], overlap: Fraction) -> tuple[list[int], Fraction]:
    """Which terms to measure, and the room that their readings then have in all.

    Largest spreads first, until what the others still vary by is no more than `overlap`, the part
    of the result that is already as wanted: from there a good reading can settle the check. Terms
    that do not vary are never named.
    """
    order = sorted((i for i, spread in enumerate(spreads) if spread), key=lambda i: -spreads[i])
    rest = sum(spreads, Fraction(0))
    chosen: list[int] = []
    for index in order:
        if chosen and rest <= overlap:
            break
        chosen.append(index)
        rest -= spreads[index]
    return chosen, overlap - rest
