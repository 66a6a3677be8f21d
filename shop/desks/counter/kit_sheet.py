"""The kit sheet: the drawing on top, the parts list beneath it, verdict and price in the block."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from django.utils.safestring import mark_safe

from inventory.promising import promise
from kits.expanding import Expansion, expand, wants
from kits.fit import Finding
from kits.models import Check, CheckTerm, CustomKit, FeatureKind, OwnFeature
from kits.options import Option, SlotOptions, slot_options
from kits.picturing import draw, marks_of, working
from shop.wants import MINUTES_A_DAY


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


@dataclass(frozen=True)
class View:
    """A check of the kit that can be drawn: what was found, the slots it is about, its caution."""

    finding: Finding
    slots: frozenset[str]
    solves: bool
    caution: str


def kit_summary(kit: CustomKit, now: datetime) -> dict[str, Any]:
    """Verdict, price and date of a kit."""
    expansion = expand(kit)
    return {
        "kit": kit,
        "expansion": expansion,
        "judgement": expansion.judgement,
        "difference": expansion.price - expansion.standard_price,
        "can_ship": _can_ship(expansion, now),
    }


def _can_ship(expansion: Expansion, now: datetime) -> date | None:
    """The day all parts are here, and after it the shop works, in days as an order counts them."""
    on = promise(wants(expansion), now).on
    minutes = sum(max(1, work.minutes) for work in expansion.works)
    return on + timedelta(days=-(-minutes // MINUTES_A_DAY)) if on else None


def kit_sheet(kit: CustomKit, now: datetime, *, opened: str, chosen: str) -> dict[str, Any]:
    """Everything that the kit sheet shows, with one slot opened and one check drawn (codes, or empty)."""
    summary = kit_summary(kit, now)
    views = list(_views(kit, summary["judgement"].findings))
    return {
        **summary,
        "rows": _rows(kit, slot_options(kit, now)),
        "views": views,
        "drawn": _drawn(summary["expansion"], views, opened, chosen),
        "opened": opened,
        "chosen_check": chosen,
    }


def _views(kit: CustomKit, findings: Iterable[Finding]) -> Iterator[View]:
    checks = Check.objects.filter(revision=kit.revision_id).prefetch_related("terms__slot")
    by_code = {check.code: check for check in checks}
    for finding in findings:
        check = by_code[finding.check]
        slots = frozenset(term.slot.code for term in check.terms.all() if term.slot)
        yield View(finding, slots, check.open_slot_id is not None, check.caution)


def _drawn(expansion: Expansion, views: list[View], opened: str, chosen: str) -> dict[str, Any] | None:
    """The chosen view; else the one with most to say, of equals the one that the opened slot is in."""
    if not views:
        return None
    view = max(
        views,
        key=lambda v: (v.finding.code == chosen, v.finding.verdict.rank, opened in v.slots, v.solves),
    )
    marks = marks_of(expansion.conversion, expansion.fills)
    return {
        "finding": view.finding,
        "caution": view.caution,
        # The drawing is our own SVG; kits.picturing escapes the names in it.
        "svg": mark_safe(draw(view.finding, marks)),  # noqa: S308
        "working": working(view.finding, marks),
    }


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
