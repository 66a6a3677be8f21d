"""Do these parts go together? Exact lengths, tolerances, chains, and verdicts with their figures.

Pure: no Django, clock, network or environment. Lengths are whole numbers of 10 nm; nothing here is
a float. Callers import from this root.
"""

from kits.fit.band import Band
from kits.fit.chain import Chain, Link
from kits.fit.errors import FitError, LengthError
from kits.fit.findings import Finding, Job, Measured, Term, Verdict, Wanted, Work, worst
from kits.fit.fits import Pair, limits, pair
from kits.fit.length import Length
from kits.fit.verdicts import judge, size_for

__all__ = [
    "Band",
    "Chain",
    "Finding",
    "FitError",
    "Job",
    "Length",
    "LengthError",
    "Link",
    "Measured",
    "Pair",
    "Term",
    "Verdict",
    "Wanted",
    "Work",
    "judge",
    "limits",
    "pair",
    "size_for",
    "worst",
]
