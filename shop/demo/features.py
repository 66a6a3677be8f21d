"""Features of parts and engines, as the fixture files write them."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal, InvalidOperation

from kits.models import EngineFeature, FeatureKind, PartFeature
from kits.models.features import Feature

from .known import Known
from .reading import Entry

_SOURCES = [str(value) for value in Feature.Source.values]


@dataclass(frozen=True)
class Value:
    """A feature as read: its kind, and lo and hi or a text, or neither where it is unknown."""

    kind: FeatureKind
    lo: int | None
    hi: int | None
    text: str
    source: str


def read_features(entry: Entry, known: Known) -> list[Value]:
    """The values of `features`; `source` of the entry holds for all that do not say "unknown"."""
    source = entry.choice("source", _SOURCES, "drawing")
    features = entry.entry("features")
    return [_value(features, code, source, known) for code in features.data]


def part_feature(value: Value) -> PartFeature:
    """Not saved, and still without its part."""
    return PartFeature(kind=value.kind, lo=value.lo, hi=value.hi, text=value.text, source=value.source)


def engine_feature(value: Value) -> EngineFeature:
    """Not saved, and still without its engine."""
    return EngineFeature(kind=value.kind, lo=value.lo, hi=value.hi, text=value.text, source=value.source)


def _value(features: Entry, code: str, source: str, known: Known) -> Value:
    kind = known.kind(features, code, code)
    text = features.text(code)
    if text == "unknown":
        return Value(kind, None, None, "", Feature.Source.UNKNOWN)
    if kind.quantity == FeatureKind.Quantity.LENGTH:
        band = features.band(code)
        return Value(kind, band.lo.units, band.hi.units, "", source)
    if kind.quantity == FeatureKind.Quantity.TEXT:
        return Value(kind, None, None, text, source)
    whole = _figure(features, code, text, kind)
    return Value(kind, whole, whole, "", source)


def _figure(features: Entry, code: str, text: str, kind: FeatureKind) -> int:
    """A count as it is, a rating in thousandths of its unit."""
    number, _, unit = text.partition(" ")
    if unit != kind.unit:
        raise features.wrong(code, f"{text!r} should be in {kind.unit or 'plain figures'}; write it so")
    scale = 1000 if kind.quantity == FeatureKind.Quantity.RATING else 1
    try:
        scaled = Decimal(number) * scale
    except InvalidOperation:
        raise features.wrong(code, f"{number!r} is not a number; write one") from None
    if scaled != int(scaled):
        raise features.wrong(code, f"{text!r} is finer than can be kept; round it")
    return int(scaled)
