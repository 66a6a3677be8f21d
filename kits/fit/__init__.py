"""Do these parts go together? Exact lengths, tolerances, chains, and verdicts with their figures.

Pure: no Django, clock, network or environment. Lengths are whole numbers of 10 nm; pressures, forces
and shares of a simulation are floats. Callers import from this root.
"""

from kits.fit.band import Band
from kits.fit.bolt_strength import BoltClass, bolt_class, proof_load
from kits.fit.chain import Chain, Link
from kits.fit.engaging import Engagement, HoleMaterial, Needed, engagement, engagement_needed, hole_material
from kits.fit.errors import FitError, LengthError
from kits.fit.findings import Figure, Finding
from kits.fit.fits import Pair, fit_of, limits, pair
from kits.fit.kinds import KINDS, kind_of
from kits.fit.length import Length
from kits.fit.materials import Material, material
from kits.fit.press import Press, press
from kits.fit.press_limits import InterferenceLimits, interference_limits
from kits.fit.questions import Declared, Kind, Question, Role, Setting, ask, problems
from kits.fit.sampling import Share, Spread
from kits.fit.terms import Amount, Job, Measured, Term, Wanted, Work
from kits.fit.threads import Thread, mismatch, thread
from kits.fit.verdict import Verdict, worst
from kits.fit.verdicts import judge, reach, size_for

__all__ = [
    "KINDS",
    "Amount",
    "Band",
    "BoltClass",
    "Chain",
    "Declared",
    "Engagement",
    "Figure",
    "Finding",
    "FitError",
    "HoleMaterial",
    "InterferenceLimits",
    "Job",
    "Kind",
    "Length",
    "LengthError",
    "Link",
    "Material",
    "Measured",
    "Needed",
    "Pair",
    "Press",
    "Question",
    "Role",
    "Setting",
    "Share",
    "Spread",
    "Term",
    "Thread",
    "Verdict",
    "Wanted",
    "Work",
    "ask",
    "bolt_class",
    "engagement",
    "engagement_needed",
    "fit_of",
    "hole_material",
    "interference_limits",
    "judge",
    "kind_of",
    "limits",
    "material",
    "mismatch",
    "pair",
    "press",
    "problems",
    "proof_load",
    "reach",
    "size_for",
    "thread",
    "worst",
]
