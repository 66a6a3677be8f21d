"""The kit sheet: the drawing on top, the parts list beneath it, verdict and price in the block."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.utils import timezone
from django.utils.safestring import mark_safe

from kits.conversion import Conversion, Fills
from kits.expanding import Expansion, expand, wants
from kits.fit import Finding, Verdict
from kits.models import CheckTerm, CustomKit, FeatureKind, OwnFeature
from kits.options import Option, SlotOptions, slot_options
from kits.picturing import draw, marks_of, working
from kits.trades import trades_of
from kits.whole_kits import State, WholeKits
from shop.bench_days import bench
from shop.desks.counter.offers import Offers, Way, offers_of
from shop.wants import promised


@dataclass(frozen=True)
class Row:
    """One line of the parts list: a numbered balloon, what fills the slot, and what else could.

    `chosen` is whether that is insisted on; `offers` are told of an opened slot only.
    """

    balloon: int
    slot: SlotOptions
    current: Option
    chosen: bool
    offers: Offers | None
    own_kinds: tuple[tuple[FeatureKind, str], ...]

    @property
    def others(self) -> int:
        return self.slot.offered - 1


@dataclass(frozen=True)
class View:
    """A check of the kit that can be drawn: what was found, the slots it is about, its caution."""

    finding: Finding
    slots: frozenset[str]
    solves: bool
    caution: str


def kit_summary(
    kit: CustomKit, now: datetime, read: tuple[Conversion, Fills] | None = None
) -> dict[str, Any]:
    """Verdict, price and date of a kit; what was `read` of it is not read again."""
    expansion = expand(kit, read)
    return {
        "kit": kit,
        "expansion": expansion,
        "judgement": expansion.judgement,
        "difference": expansion.price - expansion.standard_price,
        "can_ship": _can_ship(expansion, now),
    }


def _can_ship(expansion: Expansion, now: datetime) -> date | None:
    """The day all parts are here, and after it the shop works, in days as an order counts them."""
    on = promised(wants(expansion), now).on
    minutes = sum(max(1, work.minutes) for work in expansion.works)
    return bench().done(on, minutes) if on else None


def kit_sheet(kit: CustomKit, now: datetime, *, opened: str, chosen: str) -> dict[str, Any]:
    """Everything that the kit sheet shows, with one slot opened and one check drawn (codes, or empty)."""
    kits = WholeKits(kit, now)
    summary = kit_summary(kit, now, (kits.conversion, kits.fills))
    views = list(_views(kits.conversion, summary["judgement"].findings))
    return {
        **summary,
        **_to_a_whole_kit(kits, summary["judgement"].verdict),
        "sooner": _sooner(kits, summary["can_ship"], now),
        "rows": _rows(kit, kits, opened),
        "views": views,
        "drawn": _drawn(summary["expansion"], views, opened, chosen),
        "opened": opened,
        "chosen_check": chosen,
    }


def opened_slot(kit: CustomKit, now: datetime, code: str) -> Row | None:
    """One line of the parts list with its offers; None where there is no such slot."""
    rows = _rows(kit, WholeKits(kit, now), code)
    return next((row for row in rows if row.slot.code == code), None)


def _to_a_whole_kit(kits: WholeKits, verdict: Verdict) -> dict[str, Any]:
    """For a kit that does not go: what may follow so that it does, or which choices exclude each other."""
    if verdict in (Verdict.GOES_TOGETHER, Verdict.GOES_WITH_WORK):
        return {}
    nearest = kits.nearest()
    if nearest is None:
        clash = kits.excluding_each_other()
        ways = [Way.of(way) for way in clash.ways_out] if clash else []
        return {"clash": clash, "mending": ways}
    helps = nearest.follows and (verdict is Verdict.DOES_NOT_GO or nearest.state is State.POSSIBLE)
    return {"nearest": Way.of(nearest)} if helps else {}


def _sooner(kits: WholeKits, can_ship: date | None, now: datetime) -> list[Way]:
    """Whole kits with all that was chosen that are there before this one, for one that is not there today."""
    if can_ship is not None and can_ship <= timezone.localdate(now):
        return []
    ways = [trade.way for trade in trades_of(kits)]
    return [
        Way.of(way)
        for way in ways
        if way.follows and way.ready_on is not None and (can_ship is None or way.ready_on < can_ship)
    ]


def _views(conversion: Conversion, findings: Iterable[Finding]) -> Iterator[View]:
    by_code = {check.code: check for check in conversion.checks}
    for finding in findings:
        check = by_code[finding.check]
        slot_ids = {term.slot_id for term in check.terms if term.slot_id is not None}
        slots = frozenset(conversion.slot_by_id[slot_id].code for slot_id in slot_ids)
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


def _rows(kit: CustomKit, kits: WholeKits, opened: str) -> list[Row]:
    slots = slot_options(kit, kits.now, beside=kits, only=opened)
    through = kits.through() if any(slot.code == opened for slot in slots) else {}
    kinds = _kinds_asked(kit)
    given = _own_given(kit)
    return [
        Row(
            balloon=number,
            slot=slot,
            current=next(option for option in slot.options if option.is_current),
            chosen=slot.code in kits.chosen,
            offers=offers_of(kits, slot, through[slot.code]) if slot.code == opened else None,
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
