"""What a fit check works on: features as read, the shop works on them, and what is wanted of them."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Any

from kits.fit.band import Band
from kits.fit.chain import check_sign_and_factor
from kits.fit.errors import FitError, expect, expect_fields, expect_items
from kits.fit.length import ZERO, Length

Plain = dict[str, Any]


@dataclass(frozen=True)
class Amount:
    """A count or a rating, as a band: 'unit' is '' for a count and 'l/min', 'kW' and so on for a rating."""

    lo: Decimal
    hi: Decimal
    unit: str = ""

    def __post_init__(self) -> None:
        expect_fields(self, lo=Decimal, hi=Decimal, unit=str)
        if not (self.lo.is_finite() and self.hi.is_finite()):
            raise FitError("an amount has two finite ends")
        if self.lo > self.hi:
            raise FitError(f"an amount runs from low to high; {self.lo} is above {self.hi}")

    @classmethod
    def exactly(cls, number: Decimal | int, unit: str = "") -> Amount:
        """An amount that does not vary."""
        return cls(Decimal(number), Decimal(number), unit)

    def __add__(self, other: Amount) -> Amount:
        if not isinstance(other, Amount):
            return NotImplemented
        if self.unit != other.unit:
            raise FitError(f"{self} and {other} have different units; record both in the same one")
        return Amount(self.lo + other.lo, self.hi + other.hi, self.unit)

    def __mul__(self, times: int) -> Amount:
        expect(times, int, "how many times an amount counts")
        if times < 0:
            raise FitError("an amount counts no times or more, never less")
        return Amount(self.lo * times, self.hi * times, self.unit)

    def __str__(self) -> str:
        low, high = (f"{end.normalize():f}" for end in (self.lo, self.hi))
        return f"{low if low == high else f'{low} to {high}'} {self.unit}".strip()


Valued = Band | Amount | str | None


@dataclass(frozen=True)
class Measured:
    """A feature as read: whose it is, its name, its value (None if unknown), and where it was read.

    The value of a length is a Band, that of a count or a rating an Amount, and a designation (a
    thread, a material, a property class) is text.
    """

    owner: str
    name: str
    value: Valued
    source: str

    def __post_init__(self) -> None:
        expect_fields(self, owner=str, name=str, value=(Band, Amount, str, type(None)), source=str)
        if self.value == "":
            raise FitError(f"{self.label} has an empty value; give None where it is unknown")

    @property
    def band(self) -> Band | None:
        """The band of a length; None where it is unknown or not a length."""
        return self.value if isinstance(self.value, Band) else None

    @property
    def label(self) -> str:
        """'Corran pump hub length': the owner and the feature."""
        return f"{self.owner} {self.name}".strip()

    @property
    def said(self) -> str:
        """The value in words, for a reason or a drawing."""
        return "unknown" if self.value is None else str(self.value)

    def as_dict(self) -> Plain:
        """Plain values for JSON; `value` is the text of a value that is not a length."""
        other = None if self.value is None or self.band else str(self.value)
        both = {"value": other, "source": self.source}
        return {"owner": self.owner, "feature": self.name, **ends(self.band), **both}


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

    `works` are the shop works that may be done on it. `role` is the role that its check gives it;
    it also says how it is measured: a bore, a depth, or anything else for an outside size or a length.
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
            "target": ends(self.target),
        }


def _text(length: Length | None) -> str | None:
    return None if length is None else str(length)


def ends(band: Band | None) -> Plain:
    """The ends as text in mm and as units of 10 nm; None for both where the size is unknown."""
    if band is None:
        return {"lo": None, "hi": None, "lo_units": None, "hi_units": None}
    return {
        "lo": str(band.lo),
        "hi": str(band.hi),
        "lo_units": band.lo.units,
        "hi_units": band.hi.units,
    }
