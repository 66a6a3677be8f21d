"""Why a target is what it is: what its run wrote down, in words and as the page shows it.

A run writes its figures for people; those of an older run may lack some, and then less is said.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from typing import Any

from inventory.models import Target

from .plainly import ABC, CLASSES, METHODS, plainly

# Fewer complete kits a year than this are not told in figures.
HARDLY = Decimal("0.005")


@dataclass(frozen=True)
class Change:
    """What one piece more or fewer would do: to the money tied up, and to the share of kits, 0 to 1.

    `kits` are those of a year, None for a part by itself: its share is of its pieces.
    """

    money: Decimal | None
    share: Decimal | None
    kits: Decimal | None

    @property
    def points(self) -> Decimal | None:
        """The share in points of a hundred."""
        return None if self.share is None else self.share * 100

    @property
    def kits_in_words(self) -> str:
        if self.kits is None:
            return ""
        said = f"{self.kits:+.2f}".replace("-", "\N{MINUS SIGN}")
        return "hardly a kit" if abs(self.kits) < HARDLY else f"{said} kits"


@dataclass(frozen=True)
class Reasons:
    sentences: tuple[str, ...]
    sells: str
    weighs: str
    method: str
    demand: Mapping[str, Any]
    lead: Mapping[str, Any]
    terms: Mapping[str, Any]
    money: Decimal | None
    fill_rate: Decimal | None
    cycle_service: Decimal | None
    one_more: Change | None
    one_fewer: Change | None
    recommended: Mapping[str, Any]

    @property
    def counts_kits(self) -> bool:
        """Whether one more or fewer was told in kits, not in pieces of the part."""
        return any(step is not None and step.kits is not None for step in (self.one_more, self.one_fewer))

    @classmethod
    def of(cls, target: Target | None) -> Reasons:
        figures: Mapping[str, Any] = target.figures if target is not None else {}
        demand = _group(figures, "demand")
        return cls(
            sentences=tuple(str(one) for one in figures.get("why") or ()),
            sells=plainly(CLASSES, str(demand.get("kind") or "")),
            weighs=plainly(ABC, str(demand.get("abc") or "")),
            method=plainly(METHODS, str(demand.get("method") or "")),
            demand=demand,
            lead=_group(figures, "lead"),
            terms=_group(figures, "terms"),
            money=amount(figures.get("money")),
            fill_rate=amount(figures.get("fill_rate")),
            cycle_service=amount(figures.get("cycle_service")),
            one_more=change_of(figures.get("one_more")),
            one_fewer=change_of(figures.get("one_fewer")),
            recommended=_group(figures, "recommended"),
        )


def amount(value: Any) -> Decimal | None:
    """A figure of a run as an exact number; None where there is none."""
    try:
        found = Decimal(str(value)) if value is not None else None
    except InvalidOperation:
        return None
    return found if found is not None and found.is_finite() else None


def _group(figures: Mapping[str, Any], name: str) -> Mapping[str, Any]:
    found = figures.get(name)
    return found if isinstance(found, Mapping) else {}


def change_of(found: Any) -> Change | None:
    return (
        Change(amount(found.get("money")), amount(found.get("share")), amount(found.get("kits")))
        if isinstance(found, Mapping)
        else None
    )
