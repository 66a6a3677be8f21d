"""The picture of a kit that a quote keeps: its lines, and everything that its papers say."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from kits.expanding import ExpandedWork, Expansion
from kits.models import CustomKit, Fill

from .models import QuoteKit, QuoteLine

Plain = dict[str, Any]


def lines_of(quoted: QuoteKit, expansion: Expansion) -> list[QuoteLine]:
    """Unsaved lines in the order of the kit: parts, shop works, price agreements."""
    return [
        QuoteLine(quote_kit=quoted, position=position, **line)
        for position, line in enumerate(_lines(expansion), start=1)
    ]


def _lines(expansion: Expansion) -> Iterator[Plain]:
    for line in expansion.lines:
        yield {
            "kind": QuoteLine.Kind.PART,
            "slot_code": line.slot_code,
            "text": f"{line.slot_name}: {line.part}"[:300],
            "part": line.part,
            "quantity": line.quantity,
            "unit_price": line.unit_price,
        }
    for work in expansion.works:
        text = f"{work.name}: {work.part_label}"[:300]
        yield {"kind": QuoteLine.Kind.WORK, "text": text, "unit_price": work.price}
    for text, amount in expansion.adjustments:
        yield {"kind": QuoteLine.Kind.ADJUSTMENT, "text": text[:300], "unit_price": amount}


def record_of(kit: CustomKit, expansion: Expansion) -> Plain:
    """Plain values only: what the papers of this kit say for ever after."""
    revision, engine = kit.revision, kit.engine
    return {
        "template": {
            "code": revision.template.code,
            "name": revision.template.name,
            "purpose": revision.template.purpose,
            "revision": revision.number,
            "hours": str(revision.hours),
        },
        "engine": {"code": engine.code, "name": str(engine), "plate": engine.plate},
        "judgement": expansion.judgement.as_dict(),
        "fills": fills_of(kit),
        "works": [_work(work) for work in expansion.works],
        "steps": [
            {
                "sequence": step.sequence,
                "text": step.text,
                "way_round": step.way_round,
                "torque": step.torque,
                "torque_source": step.torque_source,
                "caution": step.caution,
                "slot": step.slot_code,
            }
            for step in expansion.steps
        ],
        "cautions": list(expansion.cautions),
        "never_reuse": [{"slot": slot, "why": why} for slot, why in expansion.never_reuse],
    }


def _work(work: ExpandedWork) -> Plain:
    return {
        "name": work.name,
        "part": work.part_label,
        "amount": work.amount,
        "target": work.target,
        "price": str(work.price),
        "minutes": work.minutes,
        "done_by": work.done_by,
        "text": work.text,
    }


def fills_of(kit: CustomKit) -> list[Plain]:
    """What fills each slot now."""
    fills = kit.fills.select_related("slot").prefetch_related("parts__part__maker", "own_features__kind")
    return [_fill(fill) for fill in fills]


def _fill(fill: Fill) -> Plain:
    return {
        "slot": fill.slot.code,
        "name": fill.slot.name,
        "how": fill.how,
        "how_text": fill.get_how_display(),
        "agreed": fill.agreed,
        "parts": [
            {
                "maker": used.part.maker.name,
                "number": used.part.number,
                "name": used.part.name,
                "quantity": used.quantity,
            }
            for used in fill.parts.all()
        ],
        "own": [str(feature) for feature in fill.own_features.all()],
    }
