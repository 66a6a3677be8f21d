"""What a fit check works on and what it finds: features as read, shop works, verdicts, findings."""

from __future__ import annotations

import enum
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Any

from kits.fit.band import Band
from kits.fit.chain import check_sign_and_factor
from kits.fit.errors import FitError, expect, expect_fields, expect_items
from kits.fit.length import ZERO, Length

Plain = dict[str, Any]


class Verdict(enum.Enum):
    """What a check says about parts together, from best to worst."""

    GOES_TOGETHER = "goes together"
    GOES_WITH_WORK = "goes with work"
    MEASURE_FIRST = "measure first"
    DOES_NOT_GO = "does not go"

    @property
    def rank(self) -> int:
        """0 for the best verdict to 3 for the worst."""
        return list(Verdict).index(self)

    def __lt__(self, other: Verdict) -> bool:
        return self.rank < other.rank if isinstance(other, Verdict) else NotImplemented


def worst(verdicts: Iterable[Verdict]) -> Verdict:
    """The worst of these verdicts; of none, that everything goes together."""
    found = Verdict.GOES_TOGETHER
    for verdict in verdicts:
        expect(verdict, Verdict, "a verdict")
        found = max(found, verdict, key=lambda v: v.rank)
    return found


@dataclass(frozen=True)
class Measured:
    """A feature as read: whose it is, its name, its band (None if unknown), and where it was read."""

    owner: str
    name: str
    band: Band | None
    source: str

    def __post_init__(self) -> None:
        expect_fields(self, owner=str, name=str, band=(Band, type(None)), source=str)

    @property
    def label(self) -> str:
        """'Corran pump hub length': the owner and the feature."""
        return f"{self.owner} {self.name}".strip()

    def as_dict(self) -> Plain:
        """Plain values for JSON."""
        return {"owner": self.owner, "feature": self.name, **_ends(self.band), "source": self.source}


@dataclass(frozen=True)
class Work:
    """A shop work on one feature: it lowers or raises its size by at most `most`.

    It leaves the feature at a target size +/- `keeps`. `minutes` is bench time.
    """

    code: str
    name: str
    lowers: bool
    most: Length
    keeps: Length
    price: Decimal
    minutes: int
    done_by: str

    def __post_init__(self) -> None:
        expect_fields(self, code=str, name=str, lowers=bool, most=Length, keeps=Length)
        expect_fields(self, price=Decimal, minutes=int, done_by=str)
        if self.most <= ZERO or self.keeps < ZERO:
            raise FitError("a work takes at most a length above zero and keeps a length of zero or more")
        if not self.price.is_finite() or self.price < 0 or self.minutes < 0:
            raise FitError("a work's price and minutes are zero or more")

    def as_dict(self) -> Plain:
        """Plain values for JSON."""
        return {
            "code": self.code,
            "name": self.name,
            "lowers": self.lowers,
            "most": str(self.most),
            "keeps": str(self.keeps),
            "price": str(self.price),
            "minutes": self.minutes,
            "done_by": self.done_by,
        }


@dataclass(frozen=True)
class Term:
    """One feature in a check: it adds to the result (+1) or takes from it (-1), times a factor.

    `works` are the shop works that may be done on it. `role` names how it is measured: 'bore',
    'depth', or anything else for an outside size or a length.
    """

    sign: int
    measured: Measured
    factor: Fraction | int = 1
    works: tuple[Work, ...] = ()
    role: str = "link"

    def __post_init__(self) -> None:
        check_sign_and_factor(self.sign, self.factor)
        expect_fields(self, measured=Measured, role=str)
        expect_items(self.works, Work, "a term's works")

    def as_dict(self) -> Plain:
        """Plain values for JSON."""
        return {**self.measured.as_dict(), "sign": self.sign, "factor": str(self.factor), "role": self.role}


@dataclass(frozen=True)
class Wanted:
    """What the result must be: at least, at most, or both; the limits themselves are allowed."""

    at_least: Length | None
    at_most: Length | None

    def __post_init__(self) -> None:
        expect_fields(self, at_least=(Length, type(None)), at_most=(Length, type(None)))
        if self.at_least is None and self.at_most is None:
            raise FitError("a check wants at least something, at most something, or both; give one")
        if self.at_least is not None and self.at_most is not None and self.at_least > self.at_most:
            raise FitError(f"at least {self.at_least} and at most {self.at_most} cannot both be met")

    def format(self) -> str:
        """'0.10 to 0.60 mm (0.0040 to 0.0236 in)', inches rounded to the stricter side."""
        if self.at_least is not None and self.at_most is not None:
            return Band(self.at_least, self.at_most).format(rounding="in")
        if self.at_least is not None:
            return f"at least {self.at_least.format(rounding='up')}"
        return f"at most {self.at_most.format(rounding='down')}" if self.at_most is not None else ""

    def as_dict(self) -> Plain:
        """Plain values for JSON."""
        return {"at_least": _text(self.at_least), "at_most": _text(self.at_most)}


@dataclass(frozen=True)
class Job:
    """The shop work chosen to make a miss fit.

    `amount` is the most that is taken off (or opened): from the end of the feature's band that is
    farthest from the target, to the middle of `target`, the size band to work to.
    """

    work: Work
    owner: str
    feature: str
    amount: Length
    target: Band

    def __post_init__(self) -> None:
        expect_fields(self, work=Work, owner=str, feature=str, amount=Length, target=Band)

    def as_dict(self) -> Plain:
        """Plain values for JSON."""
        return {
            "work": self.work.as_dict(),
            "owner": self.owner,
            "feature": self.feature,
            "amount": str(self.amount),
            "target": _ends(self.target),
        }


@dataclass(frozen=True)
class Finding:
    """A verdict with its figures and its reason; `measure` lists what to measure, if anything."""

    code: str
    title: str
    verdict: Verdict
    result: Band | None
    wanted: Wanted
    terms: tuple[Term, ...]
    job: Job | None
    reason: str
    measure: tuple[Measured, ...]

    def __post_init__(self) -> None:
        expect_fields(self, code=str, title=str, verdict=Verdict, result=(Band, type(None)), wanted=Wanted)
        expect_fields(self, job=(Job, type(None)), reason=str)
        expect_items(self.terms, Term, "a finding's terms")
        expect_items(self.measure, Measured, "what a finding wants measured")

    def as_dict(self) -> Plain:
        """Plain values for JSON: lengths as exact text in mm, and as whole units of 10 nm."""
        return {
            "code": self.code,
            "title": self.title,
            "verdict": self.verdict.value,
            "reason": self.reason,
            "result": None if self.result is None else _ends(self.result),
            "wanted": self.wanted.as_dict(),
            "terms": [term.as_dict() for term in self.terms],
            "job": None if self.job is None else self.job.as_dict(),
            "measure": [measured.as_dict() for measured in self.measure],
        }


def _text(length: Length | None) -> str | None:
    return None if length is None else str(length)


def _ends(band: Band | None) -> Plain:
    """The ends as text in mm and as units of 10 nm; None for both where the size is unknown."""
    if band is None:
        return {"lo": None, "hi": None, "lo_units": None, "hi_units": None}
    return {
        "lo": str(band.lo),
        "hi": str(band.hi),
        "lo_units": band.lo.units,
        "hi_units": band.hi.units,
    }
