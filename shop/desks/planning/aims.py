"""What the targets are to reach: a share of whole kits, or what a budget gives; as it was typed."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from django.conf import settings
from django.utils.http import urlencode

from inventory.models import TargetRun
from shop.desks.typed import Unreadable, money, text

_PERCENT = re.compile(r"[0-9]{1,2}(\.[0-9]{1,2})?")


@dataclass(frozen=True)
class Aim:
    """`wanted` of the kits, between 0 and 1, or as many as `budget` gives."""

    wanted: Decimal
    budget: Decimal | None

    @property
    def percent(self) -> str:
        return f"{(self.wanted * 100).normalize():f}"

    @property
    def words(self) -> str:
        if self.budget is not None:
            return f"as many whole kits as {self.budget} {settings.SHOP_CURRENCY} give"
        return f"{self.percent} of 100 kits complete from stock"

    @property
    def address(self) -> str:
        """How an address asks to look at it."""
        budget = "" if self.budget is None else str(self.budget)
        return urlencode({"wanted": self.percent, "budget": budget, "look": "1"})

    @classmethod
    def of(cls, run: TargetRun | None) -> Aim:
        """As the last run had it, or as the shop is set up."""
        return cls(run.wanted, run.budget) if run else cls(settings.SHOP_KITS_FROM_STOCK, None)


def aim_from(typed: Mapping[str, str], usual: Aim) -> Aim:
    """What was typed; what was not, as usual. A budget alone is for as many kits as it gives."""
    if "wanted" not in typed and "budget" not in typed:
        return usual
    budget = money(typed, "budget", "The budget") if text(typed, "budget") else None
    wanted = text(typed, "wanted")
    if not wanted and budget is None:
        raise Unreadable("Say how many of 100 kits shall ship complete, or give a budget.", field="wanted")
    return Aim(_share(wanted) if wanted else usual.wanted, budget)


def _share(found: str) -> Decimal:
    digits = found.removesuffix("%").strip()
    if not _PERCENT.fullmatch(digits) or not Decimal(digits):
        raise Unreadable(
            f"The kits of 100 that shall ship complete are {found!r}: write a figure above 0 and below 100, "
            "such as 95 or 97.5.",
            field="wanted",
            typed=found,
        )
    return Decimal(digits) / 100
