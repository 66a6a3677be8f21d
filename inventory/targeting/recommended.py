"""What a run comes to for one part, and how it is told."""

from __future__ import annotations

from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from django.conf import settings

from inventory.models import Target
from inventory.planning.lead_times import LeadTime

from .bought import Terms

LONGEST_WHY = 200


@dataclass(frozen=True)
class Recommended:
    """Levels for a part, why in sentences of which the first stands alone, and the figures behind them.

    `facts` are those of the sentences that hold whatever the levels are.
    """

    part_id: int
    reorder_at: int
    up_to: int
    why: tuple[str, ...]
    set_by: Target.SetBy = Target.SetBy.PART
    figures: dict[str, Any] = field(default_factory=dict)
    facts: tuple[str, ...] = ()

    @property
    def levels(self) -> tuple[int, int]:
        return self.reorder_at, self.up_to

    @property
    def short_why(self) -> str:
        """The first sentence as far as it fits, cut between words."""
        first = self.why[0]
        if len(first) <= LONGEST_WHY:
            return first
        return first[: LONGEST_WHY - 3].rsplit(" ", 1)[0] + "..."

    def told(self) -> dict[str, Any]:
        return {**self.figures, "why": list(self.why)}


def not_bought(part_id: int, why: str) -> Recommended:
    """Both levels 0."""
    return Recommended(part_id, 0, 0, (why,))


def lead_figures(lead: LeadTime) -> dict[str, Any]:
    return {
        "days": round(lead.mean_days, 1),
        "sd": round(lead.sd_days, 1),
        "late_share": round(lead.late_share, 3),
        "receipts": lead.receipts,
        "source": lead.source,
    }


def terms_figures(terms: Terms) -> dict[str, Any]:
    return {
        "supplier": terms.supplier,
        "price": str(terms.price),
        "pack": terms.pack,
        "least": terms.least,
        "review_days": terms.review_days,
    }


def money(cents: float) -> str:
    """Plain decimals, as the API has money."""
    return str(Decimal(round(cents)).scaleb(-2))


def priced(cents: float) -> str:
    """For a sentence: with the currency."""
    return f"{settings.SHOP_CURRENCY} {money(cents)}"


def share(value: float) -> float:
    return round(value, 4)
