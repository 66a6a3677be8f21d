"""How the whole-kit target of a part is told: its levels, sentences that a buyer understands, and figures."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from django.conf import settings

from inventory.models import Target
from inventory.planning.kit_targets import KitDemand, KitTargets, explain, levels_of

from .bought import Bought
from .plan import Plan
from .recommended import Recommended, money, share


class KitTelling:
    """Turns a level into a target, with what the kits have to say of it."""

    def __init__(
        self,
        plan: Plan,
        kits: Sequence[KitDemand[int]],
        found: KitTargets[int],
        lots: Mapping[int, int],
        cents: Mapping[int, int],
    ) -> None:
        self.plan, self.found, self.lots, self.cents = plan, found, lots, cents
        self.kits_a_year = sum(kit.a_year for kit in kits)
        self.kits_of: dict[int, list[str]] = {}
        for kit in kits:
            parts = {part for slot in kit.slots for option in slot for part in option.parts}
            for part in parts:
                self.kits_of.setdefault(part, []).append(kit.name)

    def of(self, alone: Recommended) -> Recommended:
        """The target of a part, from what it would be by itself."""
        part = self.plan.parts[alone.part_id]
        assert part.terms is not None, "Only what somebody offers goes into the search."
        level, lot = self.found.levels[alone.part_id], self.lots[alone.part_id]
        reorder_at, up_to = levels_of(level, lot, part.terms.pack)
        why = self.found.why[alone.part_id]
        figures = {
            **alone.figures,
            "fill_rate": share(why.availability),
            "cycle_service": None,
            "money": money(self.cents[alone.part_id]),
            "level": level,
            "kits": self._kits(part),
            "alone": {"reorder_at": alone.reorder_at, "up_to": alone.up_to},
            "one_more": self._step(why.one_more_kits, why.one_more_cents, 1),
            "one_fewer": self._step(why.one_fewer_kits, why.one_fewer_cents, -1),
        }
        sentences = (
            self._first(part, why.availability, reorder_at, up_to),
            *self._one_more_or_fewer(part),
            *alone.facts,
            f"By itself: {alone.why[0]}",
        )
        return replace(
            alone,
            reorder_at=reorder_at,
            up_to=up_to,
            why=sentences,
            set_by=Target.SetBy.KITS,
            figures=figures,
        )

    def _step(self, kits: float | None, cents: int | None, sign: int) -> dict[str, Any] | None:
        if kits is None or cents is None:
            return None
        return {
            "money": money(sign * cents),
            "share": share(sign * kits / self.kits_a_year),
            "kits": round(sign * kits, 2),
        }

    def _first(self, part: Bought, availability: float, reorder_at: int, up_to: int) -> str:
        into = f"It goes into {', '.join(self._kits(part))}."
        if not up_to:
            return (
                f"Keep no {part.number}: {availability:.1%} of the kits that need it are served without. "
                f"{into} When an order wants it, it is bought for that order."
            )
        found = f"{availability:.1%} of the kits that need {part.number} find it there"
        return f"{found}, when it is ordered at {reorder_at}, up to {up_to}. {into}"

    def _one_more_or_fewer(self, part: Bought) -> list[str]:
        """The sentences after the first one of an explanation."""
        said = explain(self.found, part.part_id, name="it", currency=f"{settings.SHOP_CURRENCY} ")
        return [one if one.endswith(".") else f"{one}." for one in said.split(". ")][1:]

    def _kits(self, part: Bought) -> list[str]:
        return sorted(self.kits_of.get(part.part_id, []))
