"""Kits that were sold, lost or sent back in the last two years, as records of demand."""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from inventory.models import Demand, Part
from kits.models import Candidate, Slot, Substitution, TemplateRevision
from shop.kit_demand import first_choice

from .buying import MONTHS, month_back
from .known import Known
from .reading import Entry, read_csv

_COLUMNS = ["months_back", "day", "kit", "engine", "kits", "swaps", "how", "slots"]
SOLD, ONE_OFF, LOST, CAME_BACK = "sold", "one-off", "lost", "came back"
# Nothing of the shop's went into the slot.
_NOTHING = ("left out", "own", "reused")
_BACK_AFTER = datetime.timedelta(days=12)


@dataclass(frozen=True)
class Taken:
    """Parts in a slot of one kit, and whose place they took."""

    part: Part
    quantity: int
    first_choice: int | None


def load_kit_sales(known: Known, today: datetime.date) -> None:
    """Everything of kit_sales.csv; month 1 is last month. Templates and parts are loaded already."""
    kits = {revision.template.code: _Kit(revision) for revision in _revisions()}
    rows: list[Demand] = []
    for number, entry in enumerate(read_csv("kit_sales.csv", _COLUMNS), start=1):
        rows += _rows_of(entry, kits, known, today, f"K{number:05d}/1")
    Demand.objects.bulk_create(rows)


def _revisions() -> list[TemplateRevision]:
    return list(
        TemplateRevision.objects.select_related("template").prefetch_related(
            "engines", "slots__candidates__parts__part", "slots__substitutions__stand_in"
        )
    )


class _Kit:
    """What a kit is made of, slot by slot."""

    def __init__(self, revision: TemplateRevision) -> None:
        self.slots = {slot.code: slot for slot in revision.slots.all()}
        self.engines = {engine.code for engine in revision.engines.all()}

    def taken(self, entry: Entry, known: Known) -> dict[str, list[Taken]]:
        """By slot what one kit took: the defaults, but for the swaps of the entry."""
        swaps = dict(_swaps(entry, self.slots))
        return {
            code: _taken(entry, slot, swaps.get(code), known)
            for code, slot in self.slots.items()
            if swaps.get(code) not in _NOTHING
        }


def _swaps(entry: Entry, slots: Mapping[str, Slot]) -> Iterator[tuple[str, str]]:
    """'pump: corvane CV 316; strainer: left out'."""
    for swap in filter(None, entry.text("swaps", "").split(";")):
        code, _, filled = (piece.strip() for piece in swap.partition(":"))
        if code not in slots:
            raise entry.wrong("swaps", f"{code!r} is no slot of the kit; write one of {', '.join(slots)}")
        yield code, filled


def _taken(entry: Entry, slot: Slot, swap: str | None, known: Known) -> list[Taken]:
    default = _default(slot)
    standard = [listed.part for listed in default.parts.all()] if default else []
    if swap is None:
        listed = default.parts.all() if default else ()
        return [Taken(one.part, one.quantity * slot.quantity, None) for one in listed]
    parts = [known.part(entry, "swaps", label.strip()) for label in swap.split("+")]
    return [Taken(part, _pieces(slot, part), first_choice(part, standard)) for part in parts]


def _default(slot: Slot) -> Candidate | None:
    return next((candidate for candidate in slot.candidates.all() if candidate.is_default), None)


def _pieces(slot: Slot, part: Part) -> int:
    """How many of a part that was swapped in the slot of one kit takes."""
    substitutions: list[Substitution] = list(slot.substitutions.all())
    for one in substitutions:
        if one.stand_in_id == part.pk:
            return slot.quantity * one.takes // one.replaces
    return slot.quantity


def _rows_of(
    entry: Entry, kits: Mapping[str, _Kit], known: Known, today: datetime.date, reference: str
) -> list[Demand]:
    code, how = known.template(entry, "kit").code, entry.choice("how", [SOLD, ONE_OFF, LOST, CAME_BACK])
    kit, day = kits[code], _day(entry, today)
    if entry.has("engine") and entry.text("engine") not in kit.engines:
        raise entry.wrong("engine", f"{code!r} is not released for it; name another one, or none")
    taken = kit.taken(entry, known)
    named = [slot.strip() for slot in entry.text("slots", "").split(";") if slot.strip()]
    if strange := [slot for slot in named if slot not in taken]:
        raise entry.wrong("slots", f"{', '.join(strange)} took nothing; name slots that did, or none for all")
    some = [one for slot in named or taken for one in taken[slot]]
    whole = [one for of_slot in taken.values() for one in of_slot]
    number_of_kits = entry.whole("kits")

    def rows(kind: str, parts: list[Taken], on: datetime.date) -> list[Demand]:
        return [
            Demand(
                part=one.part,
                day=on,
                quantity=one.quantity * number_of_kits,
                kind=kind,
                first_choice_id=one.first_choice,
                one_off=how == ONE_OFF,
                kit=code,
                kits=number_of_kits,
                reference=reference,
            )
            for one in parts
        ]

    if how == LOST:
        return rows(Demand.Kind.LOST, some, day)
    back = rows(Demand.Kind.RETURN, some, min(today, day + _BACK_AFTER)) if how == CAME_BACK else []
    return [*rows(Demand.Kind.KIT, whole, day), *back]


def _day(entry: Entry, today: datetime.date) -> datetime.date:
    back, day = entry.whole("months_back"), entry.whole("day")
    if not 1 <= back <= MONTHS:
        raise entry.wrong("months_back", f"{back} is not 1 to {MONTHS}; write such a month")
    if not 1 <= day <= 28:
        raise entry.wrong("day", f"{day} is not in every month; write 1 to 28")
    return month_back(today, back).replace(day=day)
