"""Engine families and their variants, with attributes, features and original parts."""

from __future__ import annotations

from kits.models import Engine, EngineAttribute, EngineFamily, EngineFeature, OriginalPart

from .features import engine_feature, read_features
from .known import Known
from .reading import Entry, read_yaml


def load_engines(known: Known) -> None:
    """Everything of engines.yaml. A variant has its family's features unless it says otherwise."""
    file = read_yaml("engines.yaml")
    file.only("families")
    for entry in file.entries("families"):
        entry.only("code", "maker", "name", "source", "features", "original_parts", "engines")
        family = EngineFamily.objects.create(
            code=entry.text("code"), maker=entry.text("maker"), name=entry.text("name")
        )
        for variant in entry.entries("engines"):
            _load_engine(family, entry, variant, known)


def _load_engine(family: EngineFamily, shared: Entry, entry: Entry, known: Known) -> None:
    entry.only("code", "name", "built_from", "built_to", "plate", "attributes", "source", "features",
               "without", "original_parts")  # fmt: skip
    engine = Engine.objects.create(
        family=family,
        code=entry.text("code"),
        name=entry.text("name"),
        built_from=entry.whole("built_from"),
        built_to=entry.whole("built_to") if entry.has("built_to") else None,
        plate=entry.text("plate", ""),
    )
    known.engines[engine.code] = engine
    attributes = entry.entry("attributes")
    EngineAttribute.objects.bulk_create(
        EngineAttribute(engine=engine, name=name, value=attributes.text(name)) for name in attributes.data
    )
    values = {value.kind.code: value for value in read_features(shared, known)}
    values |= {value.kind.code: value for value in read_features(entry, known)}
    for code in entry.names("without"):
        if values.pop(code, None) is None:
            raise entry.wrong("without", f"{code!r} is no feature of the family; drop it here")
    features = [engine_feature(value) for value in values.values()]
    for feature in features:
        feature.engine = engine
    EngineFeature.objects.bulk_create(features)
    _load_originals(engine, shared, entry, known)


def _load_originals(engine: Engine, shared: Entry, entry: Entry, known: Known) -> None:
    originals = {
        function: known.part(parts, function)
        for parts in (shared.entry("original_parts"), entry.entry("original_parts"))
        for function in parts.data
    }
    OriginalPart.objects.bulk_create(
        OriginalPart(engine=engine, function=function.replace("-", " "), part=part)
        for function, part in originals.items()
    )
