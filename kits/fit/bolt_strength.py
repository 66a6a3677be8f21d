"""How strong a bolt of a stated class is: ISO 898-1 and ISO 3506-1 classes and SAE J429 grades.

Minimum strengths at room temperature, from memory; the proof stresses of ISO 898-1 agree with the
proof-load table that tests/published/test_fit_bolts.py holds them against. ISO 3506-1, for stainless
steel, gives no proof stress: nine tenths of its stress at 0.2 % lasting stretch stand in, which is what
ISO 898-1 takes of its own classes.
Grade 2 above a length of 6 in counts as grade 1 in SAE J429; the length is not known here.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from kits.fit.errors import FitError, expect, expect_fields
from kits.fit.length import UNITS_PER_INCH, UNITS_PER_MM, Length
from kits.fit.thread_tables import METRIC, UNIFIED
from kits.fit.threads import Thread

ISO: Final = "ISO 898-1"
STAINLESS: Final = "ISO 3506-1"
SAE: Final = "SAE J429"
_MPA_PER_KSI: Final = 4.4482216152605 / (25.4**2 / 1000)


@dataclass(frozen=True, slots=True)
class BoltClass:
    """A strength class of bolts; read one with bolt_class()."""

    name: str
    standard: str

    def __post_init__(self) -> None:
        expect_fields(self, name=str, standard=str)
        if self.name not in _ROWS.get(self.standard, {}):
            raise FitError(_HOW_TO_WRITE.format(f"{self.standard} {self.name}"))

    def __str__(self) -> str:
        return f"{'grade' if self.standard == SAE else 'class'} {self.name} ({self.standard})"


@dataclass(frozen=True, slots=True)
class Strength:
    """Minimum proof stress, yield and tensile strength of a class in a size, in MPa."""

    proof_mpa: float
    yield_mpa: float
    tensile_mpa: float

    def __post_init__(self) -> None:
        expect_fields(self, proof_mpa=float, yield_mpa=float, tensile_mpa=float)


@dataclass(frozen=True, slots=True)
class _Row:
    """What holds from a thread diameter (not itself included) up to another (included)."""

    above: Length
    up_to: Length
    strength: Strength


def bolt_class(text: str) -> BoltClass:
    """Read '8.8' or 'class 10.9' (ISO 898-1), 'A4-70' (ISO 3506-1), 'grade 5' or '5.2' (SAE J429).

    A bare 5 or 8 is refused, since it may also be the class of a nut.
    """
    expect(text, str, "a bolt's class")
    cleaned = " ".join(text.split())
    match = _TEXT.fullmatch(cleaned)
    if match:
        name, grade = match["name"].upper(), bool(match["sae"] or match["grade"])
        if not grade and name in _ROWS[STAINLESS]:
            return BoltClass(name, STAINLESS)
        may_be_iso = not grade and name in _ROWS[ISO]
        if may_be_iso:
            return BoltClass(name, ISO)
        if name in _ROWS[SAE] and not (match["iso"] or match["cls"]) and (grade or "." in name):
            return BoltClass(name, SAE)
    raise FitError(_HOW_TO_WRITE.format(repr(cleaned[:40])))


def strength(thread: Thread, bolt: BoltClass) -> Strength:
    """The minimum strengths of a bolt of that class with that thread.

    A class that its standard does not give for the size is a FitError.
    """
    expect(thread, Thread, "a thread")
    expect(bolt, BoltClass, "a bolt's class")
    if thread.system != _SYSTEMS[bolt.standard]:
        other = "a class such as 8.8" if thread.system == METRIC else "a grade such as grade 5"
        raise FitError(f"{bolt} is not for {thread.system} threads; for {thread} give {other}")
    if bolt.standard == ISO and thread.series == "fine" and thread.major < _FINEST_ISO:
        raise FitError(f"{ISO} has no fine threads below M8, so no strength for {thread} in {bolt}")
    for row in _ROWS[bolt.standard][bolt.name]:
        if row.above < thread.major <= row.up_to:
            return row.strength
    given = ", ".join(name for name, rows in _ROWS[bolt.standard].items() if _covers(rows, thread.major))
    rest = f"it gives {given} there" if given else "it gives no class of that size"
    raise FitError(f"{bolt.standard} has no {bolt.name} for {thread}; {rest}")


def proof_load(thread: Thread, bolt: BoltClass) -> float:
    """The pull in N that the bolt bears without lasting stretch: stress area times proof stress."""
    return strength(thread, bolt).proof_mpa * _nominal_area(thread)


def tensile_load(thread: Thread, bolt: BoltClass) -> float:
    """The pull in N that the bolt bears at least before it breaks."""
    return strength(thread, bolt).tensile_mpa * _nominal_area(thread)


def _nominal_area(thread: Thread) -> float:
    """In mm2; ISO 898-1 goes by the area of its table, which has three figures."""
    area = thread.stress_area
    return float(f"{area:.3g}") if thread.system == METRIC else area


def _covers(rows: tuple[_Row, ...], major: Length) -> bool:
    return any(row.above < major <= row.up_to for row in rows)


def _iso(*rows: tuple[int, int, int, int, int]) -> tuple[_Row, ...]:
    """Rows of (above, up to in mm, proof, yield, tensile in MPa); a first row begins with M1.6."""
    return tuple(
        _Row(Length(above * UNITS_PER_MM), Length(up_to * UNITS_PER_MM), Strength(*map(float, figures)))
        for above, up_to, *figures in rows
    )


def _sae(*rows: tuple[str, str, int, int, int]) -> tuple[_Row, ...]:
    """Rows of (above, up to in inches, proof, yield, tensile in ksi)."""
    return tuple(
        _Row(
            Length(int(Fraction(above) * UNITS_PER_INCH)),
            Length(int(Fraction(up_to) * UNITS_PER_INCH)),
            Strength(*(figure * _MPA_PER_KSI for figure in figures)),
        )
        for above, up_to, *figures in rows
    )


_SYSTEMS: Final = {ISO: METRIC, STAINLESS: METRIC, SAE: UNIFIED}
_FINEST_ISO: Final = Length(8 * UNITS_PER_MM)
_BELOW_QUARTER: Final = "0.2499"  # SAE J429 begins with 1/4 in
_ROWS: Final[dict[str, dict[str, tuple[_Row, ...]]]] = {
    ISO: {
        "4.6": _iso((0, 39, 225, 240, 400)),
        "4.8": _iso((0, 39, 310, 340, 420)),
        "5.6": _iso((0, 39, 280, 300, 500)),
        "5.8": _iso((0, 39, 380, 420, 520)),
        "6.8": _iso((0, 39, 440, 480, 600)),
        "8.8": _iso((0, 16, 580, 640, 800), (16, 39, 600, 660, 830)),
        "9.8": _iso((0, 16, 650, 720, 900)),
        "10.9": _iso((0, 39, 830, 940, 1040)),
        "12.9": _iso((0, 39, 970, 1100, 1220)),
    },
    STAINLESS: {
        f"{steel}-{name}": _iso(row)
        for steel in ("A1", "A2", "A3", "A4", "A5")
        for name, row in (
            ("50", (0, 39, 189, 210, 500)),
            ("70", (0, 24, 405, 450, 700)),
            ("80", (0, 24, 540, 600, 800)),
        )
    },
    SAE: {
        "1": _sae((_BELOW_QUARTER, "1.5", 33, 36, 60)),
        "2": _sae((_BELOW_QUARTER, "0.75", 55, 57, 74), ("0.75", "1.5", 33, 36, 60)),
        "5": _sae((_BELOW_QUARTER, "1", 85, 92, 120), ("1", "1.5", 74, 81, 105)),
        "5.2": _sae((_BELOW_QUARTER, "1", 85, 92, 120)),
        "8": _sae((_BELOW_QUARTER, "1.5", 120, 130, 150)),
        "8.2": _sae((_BELOW_QUARTER, "1", 120, 130, 150)),
    },
}
_TEXT = re.compile(
    r"(?P<iso>ISO(?: 898-1| 3506-1)?)?\s*(?P<sae>SAE(?: J429)?)?\s*(?:(?P<cls>(?:property )?class)"
    r"|(?P<grade>grade|gr\.?))?\s*(?P<name>A[1-5]-[0-9]{2}|[0-9]{1,2}(?:\.[0-9])?)"
    r"(?: \((?:ISO 898-1|ISO 3506-1|SAE J429)\))?",
    re.IGNORECASE,
)
_HOW_TO_WRITE: Final = (
    f"{{}} is not a bolt's class that is held; write one of {ISO} ({', '.join(_ROWS[ISO])}), one of "
    f"{STAINLESS} (A2-50, A2-70, A4-80...), or one of {SAE} with the word grade "
    f"(grade {', '.join(_ROWS[SAE])})"
)
