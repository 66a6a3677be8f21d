"""The kit sheet: the drawing on top, the parts list beneath it, verdict and price in the block."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.utils.safestring import mark_safe

from inventory.promising import promise
from kits.expanding import expand, wants
from kits.models import Check, CheckTerm, CustomKit, FeatureKind, OwnFeature
from kits.options import Option, SlotOptions, slot_options


@dataclass(frozen=True)
class Row:
    """One line of the parts list: a numbered balloon, what fills the slot, and what else could."""

    balloon: int
    slot: SlotOptions
    current: Option | None
    own_kinds: tuple[tuple[FeatureKind, str], ...]

    @property
    def others(self) -> int:
        return sum(not option.is_current for option in self.slot.options)


def kit_sheet(kit: CustomKit, now: datetime) -> dict[str, Any]:
    """Everything that the kit sheet shows."""
    expansion = expand(kit)
    return {
        "kit": kit,
        "expansion": expansion,
        "judgement": expansion.judgement,
        "difference": expansion.price - expansion.standard_price,
        "promise": promise(wants(expansion), now),
        "rows": _rows(kit, slot_options(kit, now)),
        "drawings": list(_drawings(kit, expansion.judgement.findings)),
    }


def _drawings(kit: CustomKit, findings: Iterable[Any]) -> Iterable[dict[str, Any]]:
    from kits.drawing import draw_check

    found = {finding.code: finding for finding in findings}
    for check in Check.objects.filter(revision=kit.revision_id, kind=Check.Kind.CHAIN):
        # The drawing is our own SVG, written by kits.drawing, which escapes the names in it.
        svg = mark_safe(draw_check(kit, check.code))  # noqa: S308
        yield {"check": check, "svg": svg, "finding": found.get(check.code)}


def _rows(kit: CustomKit, slots: Iterable[SlotOptions]) -> list[Row]:
    kinds = _kinds_asked(kit)
    given = _own_given(kit)
    return [
        Row(
            balloon=number,
            slot=slot,
            current=next((option for option in slot.options if option.is_current), None),
            own_kinds=tuple((kind, given.get((slot.code, kind.code), "")) for kind in kinds[slot.code]),
        )
        for number, slot in enumerate(slots, start=1)
    ]


def _kinds_asked(kit: CustomKit) -> Mapping[str, list[FeatureKind]]:
    """Which sizes of a customer's own part the checks ask for, by slot."""
    terms = CheckTerm.objects.filter(of__revision=kit.revision_id, slot__isnull=False)
    kinds: dict[str, dict[str, FeatureKind]] = defaultdict(dict)
    for term in terms.select_related("slot", "feature"):
        assert term.slot is not None
        kinds[term.slot.code].setdefault(term.feature.code, term.feature)
    return defaultdict(list, {slot: list(found.values()) for slot, found in kinds.items()})


def _own_given(kit: CustomKit) -> dict[tuple[str, str], str]:
    """The sizes already given of a customer's own part, as they may be typed again."""
    features = OwnFeature.objects.filter(fill__kit=kit).select_related("fill__slot", "kind")
    return {
        (feature.fill.slot.code, feature.kind.code): feature.text or _typeable(feature)
        for feature in features
    }


def _typeable(feature: OwnFeature) -> str:
    band = feature.band
    if band is None:
        return ""
    return str(band.lo) if band.lo == band.hi else f"{band.lo} to {band.hi}"
