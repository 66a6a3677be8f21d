"""Features of parts and engines, as the fixture files write them."""

from __future__ import annotations

from dataclasses import dataclass

from kits.fit import FitError
from kits.models import EngineFeature, Feature, FeatureKind, PartFeature
from kits.owning import read_feature

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
    try:
        lo, hi, designation = read_feature(kind, text)
    except FitError as error:
        raise features.wrong(code, str(error)) from None
    return Value(kind, lo, hi, designation, source)
