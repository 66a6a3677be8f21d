"""How many kits, as plain values."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from inventory.models import Part
from kits.how_many import Counted, InTheWay, Overview


def as_dict(found: Overview) -> dict[str, Any]:
    """For JSON: days as in 2026-12-01, parts by id, number and name."""
    return {
        "on": found.day.on.isoformat(),
        "exact": found.day.exact,
        "most": found.day.most,
        "together": found.day.together,
        "price": f"{found.day.price:.2f}",
        "in_the_way": _ways(found.day.in_the_way),
        "conversions": [
            {
                **_conversion(one),
                "ahead": [{"on": day.on.isoformat(), "kits": day.kits[number]} for day in found.ahead],
            }
            for number, one in enumerate(found.day.counted)
        ],
    }


def _conversion(one: Counted) -> dict[str, Any]:
    return {
        "template": one.conversion.template,
        "name": one.conversion.name,
        "engines": list(one.conversion.engines),
        "exact": one.conversion.exact,
        "price": f"{one.conversion.price:.2f}",
        "alone": one.alone,
        "together": one.together,
        "stand_ins": [
            {"slot": what.slot, "stand_in": what.label, "agreement": what.agreement, "kits": kits}
            for what, kits in one.stand_ins
        ],
        "in_the_way": _ways(one.in_the_way),
        "lacks": [{"part": _part(short.part), "pieces": short.pieces} for short in one.lacks],
    }


def _ways(ways: Sequence[InTheWay]) -> list[dict[str, Any]]:
    return [{"part": _part(way.part), "pieces": way.pieces, "gained": way.gained} for way in ways]


def _part(part: Part) -> dict[str, Any]:
    return {"id": part.pk, "number": part.number, "name": part.name, "maker": part.maker.name}
