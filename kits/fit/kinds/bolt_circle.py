"""Two bolt circles on each other: as many holes, and room enough in them for every bolt.

The fixed and floating fastener formulas of ASME Y14.5 (H - F >= T1 + T2 where the bolt is held by the
mating part, H + H' - 2 F >= T1 + T2 where it passes through holes in both), with the difference of
the circle diameters taken from the room as well. A recorded position tolerance is the most that a
hole is off; it may be off by less, so it counts from zero up to that.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import Final

from kits.fit.band import Band
from kits.fit.findings import Figure, Finding
from kits.fit.length import ZERO
from kits.fit.questions import Kind, Question, Role
from kits.fit.stating import same_counts, titled
from kits.fit.terms import Term, Wanted
from kits.fit.verdict import Verdict
from kits.fit.verdicts import judge, size_for

_ROOM: Final = Wanted(ZERO, None)
_FIXED: Final = Figure(
    "room, on the diameter", "H - F - T1 - T2 - difference of the circles", "ASME Y14.5, fixed fastener"
)
_FLOATING: Final = Figure(
    "room, on the diameter",
    "H + H' - 2 F - T1 - T2 - difference of the circles",
    "ASME Y14.5, floating fastener",
)
_ASSUMED: Final = (
    "Taken for granted: holes equally spaced and turned alike on both, square to the face, and parts free "
    "to centre on their bolts."
)


def _judge(question: Question) -> tuple[Finding, ...]:
    counts = (question.one("holes"), question.one("mate-holes"))
    return (
        same_counts(question, "number", counts, "number of holes"),
        *(_passes(question, hole) for hole in ("hole", "mate-hole") if question.of(hole)),
        _room(question, "inwards", 1),
        _room(question, "outwards", -1),
    )


def _passes(question: Question, hole: str) -> Finding:
    """The bolt passes the hole by itself, wherever the hole is."""
    name = "bolt" if hole == "hole" else "mate-bolt"
    about = "room of the bolt in its hole" if hole == "hole" else "room of the bolt in the mating hole"
    terms = (*question.chain(hole), *question.chain("bolt"))
    return judge(question.part(name), titled(question, about), terms, _ROOM)


def _room(question: Question, way: str, turn: int) -> Finding:
    """What is left in the holes on the side towards the centre (`turn` 1) or away from it (-1).

    A circle larger than the other takes room on the one side and gives as much on the other.
    """
    (hole,), (bolt,) = question.chain("hole"), question.chain("bolt")
    holes = (hole, *question.chain("mate-hole"))
    bolts = replace(bolt, factor=Fraction(bolt.factor) * len(holes))
    terms = (
        *holes,
        bolts,
        *(_up_to(term) for role in ("position", "mate-position") for term in question.chain(role)),
        *(replace(t, sign=t.sign * turn, works=()) for t in question.chain("circle", "mate-circle")),
    )
    finding = judge(question.part(f"room-{way}"), titled(question, f"room {way}"), terms, _ROOM)
    return _explained(finding, hole, terms, _FLOATING if len(holes) > 1 else _FIXED)


def _up_to(position: Term) -> Term:
    """Off by anything from nothing to the tolerance. No shop work moves a hole."""
    measured, band = position.measured, position.measured.band
    if band is not None:
        measured = replace(measured, value=Band(min(ZERO, band.hi), band.hi))
    return replace(position, measured=measured, works=())


def _explained(finding: Finding, hole: Term, terms: tuple[Term, ...], formula: Figure) -> Finding:
    """With the formula, what is taken for granted, and the hole that would go without measuring."""
    reason, figures = finding.reason, [formula]
    others = [term for term in terms if term is not hole]
    if finding.verdict is Verdict.MEASURE_FIRST and finding.result is not None:
        size = size_for(others, hole.sign, _ROOM, hole.factor)
        if size is not None:
            least = size.lo.format(rounding="up")
            reason += f" Without measuring, {hole.measured.label} of {least} or more goes together."
            figures.append(Figure("hole that goes without measuring", f"at least {least}", "worked out"))
    return replace(finding, reason=f"{reason} {_ASSUMED}", figures=tuple(figures))


BOLT_CIRCLE = Kind(
    code="bolt-circle",
    name="bolt circle",
    about="As many holes on both parts, and room in them for every bolt. Name the mating part's hole where "
    "it is a clearance hole too (floating bolts); leave it out where the bolts are held in it (fixed: "
    "tapped holes, studs). Circle diameters that a position tolerance goes by are exact sizes. Where "
    "only every second hole is used, count the other part's twice.",
    roles=(
        Role("holes", "number of holes", "count", how="count them on the part"),
        Role("mate-holes", "number of holes in the mating part", "count", how="count them on the part"),
        Role("hole", "diameter of the clearance hole", tool="bore"),
        Role("mate-hole", "diameter of the mating clearance hole", least=0, tool="bore"),
        Role("bolt", "largest diameter of the bolt", sign=-1),
        Role("position", "position tolerance of the holes, on the diameter", sign=-1, tool="place"),
        Role(
            "mate-position", "position tolerance of the mating holes, on the diameter", sign=-1, tool="place"
        ),
        Role("circle", "diameter of the bolt circle", sign=-1, tool="place"),
        Role("mate-circle", "diameter of the mating bolt circle", tool="place"),
    ),
    judge=_judge,
)
