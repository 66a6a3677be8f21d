"""Fills a kit of the demo and judges it, by the names that the fixture files use."""

from inventory.models import Part
from kits.choices import choices_for
from kits.conversion import Conversion, SlotRead
from kits.fit import Finding
from kits.judging import Judgement, judge_fills
from kits.models import Engine, TemplateRevision
from kits.reading import read_conversion


def conversion_of(template: str, engine: str) -> Conversion:
    revision = TemplateRevision.objects.get(template__code=template)
    return read_conversion(revision, Engine.objects.get(code=engine))


def part_named(label: str) -> Part:
    maker, _, number = label.partition(" ")
    return Part.objects.get(maker__code=maker, number=number)


def key_of(*labels: str) -> str:
    return "parts:" + "+".join(str(pk) for pk in sorted(part_named(label).pk for label in labels))


def slot_named(conversion: Conversion, code: str) -> SlotRead:
    return next(slot for slot in conversion.slots if slot.code == code)


def judged(template: str, engine: str, **swaps: str) -> Judgement:
    """The default kit with swaps: slot codes with underscores, and parts or 'own', 'reused', 'left-out'."""
    conversion = conversion_of(template, engine)
    fills = dict(conversion.default_fills())
    for code, what in swaps.items():
        slot = slot_named(conversion, code.replace("_", "-"))
        key = what if what in ("own", "reused", "left-out") else key_of(what)
        fills[slot.id] = choices_for(conversion, slot)[key].filling
    return judge_fills(conversion, fills)


def finding(judgement: Judgement, code: str) -> Finding:
    return next(found for found in judgement.findings if found.code == code)
