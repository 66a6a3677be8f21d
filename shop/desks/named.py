"""Finds the places, lots and kits that somebody named in a form; what is not there is said by its name."""

from __future__ import annotations

import re
from collections.abc import Mapping

from django.db.models import Q

from inventory.acting import ActError
from inventory.models import Lot, Part, Place, scan_key
from kits.models import CustomKit
from shop.desks.typed import Unreadable, label, needed

_KIT = re.compile(r"[Kk]?0*([0-9]{1,9})")


def place_in_shop(typed: Mapping[str, str], field: str, what: str) -> Place:
    """The place of this code, in capitals or not; ActError "no-such-place" unless it is in the shop."""
    needed(typed, field, what)
    code = label(typed, field, what)
    place = Place.objects.filter(code__iexact=code, kind__in=Place.INSIDE).order_by("pk").first()
    if place is None:
        raise ActError(f"There is no place {code!r} in the shop.", code="no-such-place")
    return place


def part_numbered(typed: Mapping[str, str], field: str, what: str) -> Part:
    """The part of this number, or of an alternate number; Unreadable unless it is exactly one."""
    number = needed(typed, field, what)
    key = scan_key(number)
    numbered = Part.objects.filter(Q(key=key) | Q(alternate_numbers__key=key)).select_related("maker")
    parts = list(numbered.distinct()) if key else []
    if len(parts) != 1:
        known = " or ".join(str(part) for part in parts) or "no part"
        raise Unreadable(f"{number!r} is {known}: give the number of one part.", field=field)
    return parts[0]


def maybe_lot(part: Part, typed: Mapping[str, str], field: str) -> Lot | None:
    """The part's lot or serial of this code, None where the field was left empty."""
    code = label(typed, field, "The lot or serial number")
    if not code:
        return None
    exact = part.lots.filter(code=code).first()
    lot = exact or part.lots.filter(code__iexact=code).order_by("pk").first()
    if lot is None:
        raise Unreadable(f"{part} has no lot or serial number {code!r}.", field=field)
    return lot


def kit_numbered(typed: Mapping[str, str], field: str, what: str) -> CustomKit:
    """The custom kit of this number, with its letter or without."""
    said = needed(typed, field, what)
    number = _KIT.fullmatch(said)
    kits = CustomKit.objects.select_related("revision__template", "engine")
    kit = kits.filter(pk=int(number[1])).first() if number else None
    if kit is None:
        raise Unreadable(f"There is no kit {said!r}: its sheet has the number, like K00012.", field=field)
    return kit
