"""A check on the front end of a made-up engine, and the words to write it shortly."""

from decimal import Decimal
from typing import Any

from kits.fit import (
    Band,
    Finding,
    Job,
    Length,
    Measured,
    Term,
    Wanted,
    Work,
    judge,
)

TURN = Work(
    "turn",
    "Turn down",
    True,
    Length.parse("0.50 mm"),
    Length.parse("0.02 mm"),
    Decimal("45.00"),
    30,
    "own bench",
)


def term(sign: int, text: str | None, name: str = "boss height", **more: Any) -> Term:
    band = None if text is None else Band.parse(text)
    return Term(sign, Measured("Corran bracket", name, band, "drawing CB-4"), **more)


def wanted(at_least: str | None, at_most: str | None) -> Wanted:
    return Wanted(*(None if end is None else Length.parse(end) for end in (at_least, at_most)))


GAP = wanted("0.10 mm", "0.60 mm")


def gap(*terms: Term, wish: Wanted = GAP) -> Finding:
    return judge("belt-plane", "Belt plane gap", terms, wish)


def band_of(one: Term) -> Band:
    assert one.measured.band is not None
    return one.measured.band


def job_of(finding: Finding) -> Job:
    assert finding.job is not None
    return finding.job
