"""Limits of size by ISO 286, and what a bore and a shaft make together."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Final

from kits.fit import (
    Band,
    Finding,
    FitError,
    Length,
    Measured,
    Pair,
    Term,
    Wanted,
    fit_of,
    judge,
    limits,
    pair,
)
from kits.reckoning.reading import length, size
from kits.reckoning.said import Said, say, say_band, say_length, say_um
from kits.reckoning.sheet import Fact, Group, Sheet, Table

_CLASS: Final = r"[A-Za-z]{1,2}[0-9]{1,2}"
_UNIT: Final = r"(?:[a-z]+(?![a-z0-9]))?"
_LIMITS: Final = re.compile(rf"(?P<size>[^A-Za-z]+?{_UNIT})\s*(?P<cls>{_CLASS}(?:[\s/,]+{_CLASS})*)")
_OF_A_SHAFT: Final = re.compile(r".*[0-9\s](?!to)[a-z]{1,2}[0-9]{1,2}\s*[a-z]*")
_OF_A_BORE: Final = re.compile(r".*[A-Z]{1,2}[0-9]{1,2}\s*[a-z]*")
AT_20_C: Final = "Both parts at 20 C, sizes on the diameter and without error of form."


def limits_sheet(words: Sequence[str]) -> Sheet:
    """The limits of '25 H7 g6', given in whatever pieces the shell made of it."""
    text = " ".join(" ".join(words).split())
    match = _LIMITS.fullmatch(text)
    if not match:
        raise FitError(
            f"{text[:60]!r} is not a size and its classes; write the size first, then one class or more, "
            "as in: limits 25 H7 g6, or: limits 3/4 in H8"
        )
    nominal = length(match["size"])
    rows = tuple(_row(nominal, name) for name in re.findall(_CLASS, match["cls"]))
    columns = (("class", "class"), ("lower", "lower um"), ("upper", "upper um"), ("limits", "limits of size"))
    heading = "Deviations from the nominal size, and limits of size"
    return Sheet(
        "Limits by ISO 286",
        (
            Group("size", "Size", (Fact("nominal", "nominal size", say_length(nominal)),)),
            Table("classes", heading, columns, rows),
        ),
        (
            "ISO 286-1 and -2, at 20 C; millimetres are exact, and inches rounded outwards.",
            "An inch size is looked up in the metric table, since ISO 286 has no other.",
        ),
    )


def pair_sheet(bore_text: str, shaft_text: str, wanted: Wanted | None) -> Sheet:
    """The clearance of a bore and a shaft, and whether it is the one wanted."""
    bore, shaft, made = read_pair(bore_text, shaft_text)
    facts = (
        Fact("bore", "bore", say_band(bore), bore_text),
        Fact("shaft", "shaft", say_band(shaft), shaft_text),
        Fact("clearance", "clearance", say_band(made.clearance), "bore less shaft; below 0 is interference"),
        Fact("kind", "kind", say(made.kind)),
        *([Fact("wanted", "wanted", _say_wanted(wanted))] if wanted else []),
    )
    return Sheet(
        f"Bore {bore_text} with shaft {shaft_text}: {made.kind}",
        (Group("pair", "The pair", facts),),
        (AT_20_C, "Any bore may meet any shaft: the clearance is the worst case."),
        _judged(bore, shaft, bore_text, shaft_text, wanted),
    )


def read_pair(bore_text: str, shaft_text: str) -> tuple[Band, Band, Pair]:
    """The two bands, the bore first; a shaft's class on the bore is refused as a slip."""
    if _OF_A_SHAFT.fullmatch(bore_text):
        raise FitError(
            f"{bore_text!r} has the small letter of a shaft; give the bore first, as in: '25 H7' '25 g6'"
        )
    if _OF_A_BORE.fullmatch(shaft_text):
        raise FitError(
            f"{shaft_text!r} has the capital letter of a bore; give the shaft second, as in: '25 H7' '25 g6'"
        )
    bore, shaft = size(bore_text), size(shaft_text)
    return bore, shaft, pair(bore, shaft)


def wanted_of(at_least: str | None, at_most: str | None, like: str | None) -> Wanted | None:
    """The clearance that is wanted, in limits or as another fit has it; None where none is given."""
    if like is None:
        if at_least is None and at_most is None:
            return None
        return Wanted(*(None if text is None else length(text) for text in (at_least, at_most)))
    if at_least is not None or at_most is not None:
        raise FitError("give either --like or the limits --at-least and --at-most, not both")
    clearance = fit_of(" ".join(like.split())).clearance
    return Wanted(clearance.lo, clearance.hi)


def _row(nominal: Length, name: str) -> tuple[Said, ...]:
    deviations = limits(nominal, name)
    return (say(name), say_um(deviations.lo), say_um(deviations.hi), say_band(deviations + nominal))


def _say_wanted(wanted: Wanted) -> Said:
    return Said(wanted.format(), wanted.as_dict())


def _judged(
    bore: Band, shaft: Band, bore_text: str, shaft_text: str, wanted: Wanted | None
) -> Finding | None:
    if wanted is None:
        return None
    terms = (
        Term(1, Measured("", "bore", bore, bore_text), role="bore"),
        Term(-1, Measured("", "shaft", shaft, shaft_text), role="shaft"),
    )
    return judge("pair", "Clearance", terms, wanted)
