"""A screw thread on a sheet: its basic sizes, what a bolt bears, how far it must engage, and matches."""

from __future__ import annotations

from decimal import Decimal
from typing import Final

from kits.fit import (
    BoltClass,
    Finding,
    Length,
    Measured,
    Question,
    Term,
    Thread,
    ask,
    bolt_class,
    engagement_needed,
    hole_material,
    kind_of,
    proof_load,
    thread,
)
from kits.fit.bolt_strength import strength, tensile_load
from kits.fit.length import UNITS_PER_MM
from kits.reckoning.said import Said, say, say_length, say_quantity
from kits.reckoning.sheet import CAUTION, Fact, Group, Sheet

_STEP: Final = UNITS_PER_MM // 100
ASSUMES: Final = (
    "Basic sizes of the profile of ISO 68-1, without tolerance: limits and gauges come from ISO 965 or "
    "ASME B1.1.",
    "Loads are static, on a bolt pulled straight, with minimum strengths of ISO 898-1 or SAE J429 at room "
    "temperature, from memory.",
    "Engaged length is of full thread: the bolt's point and the hole's countersink do not count.",
)
NO_TORQUE: Final = (
    "No tightening torque follows from this; take it from the maker's manual, and never re-use a bolt that "
    "the manual says to renew."
)


def thread_sheet(
    text: str, other: str | None, bolt_text: str | None, material_text: str | None, multiple: Decimal | None
) -> Sheet:
    """One thread, or a bolt's and a hole's beside each other and whether they screw together."""
    first = thread(text)
    second = None if other is None else thread(other)
    bolt = None if bolt_text is None else bolt_class(bolt_text)
    parts = [_sizes("thread", "Thread" if second is None else "The bolt's thread", first)]
    if second:
        parts.append(_sizes("hole_thread", "The hole's thread", second))
    if bolt:
        parts.append(_loads(first, bolt))
    if material_text is not None or multiple is not None:
        parts.append(_engagement(first, bolt, material_text, multiple))
    title = str(first) if second is None else f"{first} in {second}"
    finding = _match(first, second) if second else None
    return Sheet(title, tuple(parts), ASSUMES, finding, (CAUTION, NO_TORQUE))


def _sizes(code: str, heading: str, of: Thread) -> Group:
    pitch = {"text": of.pitch_text, "mm": float(of.pitch) / UNITS_PER_MM, "units": str(of.pitch)}
    return Group(
        code,
        f"{heading}: {of}",
        (
            Fact("designation", "designation", say(str(of)), f"{of.system}, {of.series}"),
            Fact("major", "major diameter", say_length(of.major)),
            Fact("pitch", "pitch", Said(of.pitch_text, pitch)),
            Fact("pitch_diameter", "pitch diameter", say_length(of.pitch_diameter)),
            Fact("minor", "minor diameter", say_length(of.minor_diameter), "basic, of the hole's thread"),
            Fact("root", "root diameter", say_length(of.root_diameter), "of the bolt"),
            Fact("stress_area", "stress area", say_quantity(of.stress_area, "mm2")),
        ),
    )


def _match(male: Thread, female: Thread) -> Finding:
    """As a check in a kit would find it."""
    sides = (("male", male), ("female", female))
    terms = tuple(Term(1, Measured("", role, str(side), "as given"), role=role) for role, side in sides)
    return ask(Question(kind_of("thread"), "bolt", "Bolt in hole", terms))[0]


def _loads(of: Thread, bolt: BoltClass) -> Group:
    least = strength(of, bolt)
    return Group(
        "loads",
        f"What a bolt of {bolt} bears",
        (
            Fact("proof_stress", "proof stress", say_quantity(least.proof_mpa, "MPa", "down")),
            Fact("tensile", "tensile strength", say_quantity(least.tensile_mpa, "MPa", "down")),
            Fact(
                "proof_load",
                "proof load",
                say_quantity(proof_load(of, bolt), "N", "down"),
                "without lasting stretch",
            ),
            Fact(
                "breaking_load",
                "breaking load",
                say_quantity(tensile_load(of, bolt), "N", "down"),
                "at least",
            ),
        ),
    )


def _engagement(
    of: Thread, bolt: BoltClass | None, material_text: str | None, multiple: Decimal | None
) -> Group:
    hole = None if material_text is None else hole_material(material_text)
    needed = engagement_needed(of, bolt, hole, multiple)
    # Strengths are not known any better than to a hundredth of a millimetre of thread.
    rounded = Length(-(-needed.length.units // _STEP) * _STEP)
    facts = [
        Fact("needed", "engaged length", say_length(rounded, "up"), "of full thread, at least"),
        Fact("basis", "why", say(needed.basis)),
    ]
    if hole:
        note = "typical, from memory: the weak end of what is usual"
        strong = Fact("hole", f"strength of {hole.name}", say_quantity(hole.tensile_mpa, "MPa"), note)
        facts.insert(0, strong)
    return Group("engagement", "How far it must engage", tuple(facts))
