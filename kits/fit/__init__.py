"""Do these parts go together? Exact lengths, tolerances, chains, and verdicts with their figures.

Pure: no Django, clock, network or environment. Lengths are whole numbers of 10 nm; nothing here is
a float. Callers import from this root.
"""

from kits.fit.band import Band
from kits.fit.chain import Chain, Link
from kits.fit.errors import FitError, LengthError
from kits.fit.findings import Figure, Finding
from kits.fit.fits import Pair, limits, pair
from kits.fit.kinds import KINDS, kind_of
from kits.fit.length import Length
from kits.fit.questions import Declared, Kind, Question, Role, Setting, ask, problems
from kits.fit.terms import Amount, Job, Measured, Term, Wanted, Work
from kits.fit.verdict import Verdict, worst
from kits.fit.verdicts import judge, size_for

__all__ = [
    "KINDS",
    "Amount",
    "Band",
    "Chain",
    "Declared",
    "Figure",
    "Finding",
    "FitError",
    "Job",
    "Kind",
    "Length",
    "LengthError",
    "Link",
    "Measured",
    "Pair",
    "Question",
    "Role",
    "Setting",
    "Term",
    "Verdict",
    "Wanted",
    "Work",
    "ask",
    "judge",
    "kind_of",
    "limits",
    "pair",
    "problems",
    "size_for",
    "worst",
]
