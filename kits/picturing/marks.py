"""Marks: the balloon number by which a part is known in the parts list, and its short name."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from kits.conversion import Conversion, Fills
from kits.fit import Finding, Term
from kits.picturing.strokes import cut, line, number, room, text
from kits.terms import term_for

ENGINE: Final = "E"
RADIUS = 9
_WIDEST = 34


@dataclass(frozen=True)
class Mark:
    """What stands in the balloon, and the name that stands in the part where there is room."""

    sign: str
    name: str


Marks = Mapping[str, Mark]  # by the label of what was measured, as in Finding.terms


def marks_of(conversion: Conversion, fills: Fills) -> dict[str, Mark]:
    """The marks of all that the checks of a kit compare: slots by their number, the engine as E."""
    found: dict[str, Mark] = {}
    places = {slot.id: Mark(str(n), slot.name) for n, slot in enumerate(conversion.slots, start=1)}
    terms = [read for check in conversion.checks for read in check.terms]
    # The engine first: where it lends its own part to a slot, the slot's number stands.
    for read in sorted(terms, key=lambda read: read.slot_id is not None):
        term = term_for(conversion, read, fills)
        if term is not None:
            engine = Mark(ENGINE, f"engine {read.feature}")
            found[term.measured.label] = engine if read.slot_id is None else places[read.slot_id]
    return found


def marked(finding: Finding, marks: Marks) -> list[Mark]:
    """A mark for every term, in order; letters and the owners' names where none is given."""
    owners = list(dict.fromkeys(term.measured.owner for term in finding.terms))
    letters = {owner: _letters(n) for n, owner in enumerate(owners)}
    return [
        marks.get(term.measured.label, Mark(letters[term.measured.owner], term.measured.owner))
        for term in finding.terms
    ]


def named(term: Term, mark: Mark) -> str:
    """'Crank pulley hub length', and 'Belt length' for a belt's belt length.

    An engine's mark names the feature already.
    """
    name = term.measured.name
    if mark.name.endswith(name):
        return mark.name
    first, _, rest = name.partition(" ")
    repeats = rest and mark.name.lower().split()[-1:] == [first.lower()]
    return f"{mark.name} {rest if repeats else name}".strip()


def balloon(x: float, y: float, mark: Mark, leader: tuple[float, float] | None = None) -> list[str]:
    """A ring with the sign in it, centred on x and y, and a leader from its edge to a point."""
    half = balloon_width(mark) / 2
    drawn = []
    if leader:
        edge = y + RADIUS if leader[1] > y else y - RADIUS
        drawn.append(line(x, edge, *leader, "ink thin"))
    drawn.append(
        f'<rect x="{number(x - half)}" y="{number(y - RADIUS)}" width="{number(2 * half)}" '
        f'height="{2 * RADIUS}" rx="{RADIUS}" class="callout"/>'
    )
    sign = cut(mark.sign, _WIDEST - 8)
    return [*drawn, text(x, y + 4, sign, "small", "middle")]


def balloon_width(mark: Mark) -> float:
    return min(max(2 * RADIUS, room(mark.sign) + 7), _WIDEST)


def _letters(number: int) -> str:
    """A, B ... Z, AA, AB ..."""
    more, letter = divmod(number, 26)
    return (_letters(more - 1) if more else "") + chr(ord("A") + letter)
