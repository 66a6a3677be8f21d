"""Feature kinds, categories, shop works, and the parts of every maker."""

from __future__ import annotations

import datetime

from inventory.models import AlternateNumber, Category, Maker, Makeup, Part, Supersession, scan_key
from kits.models import FeatureKind, PartFeature, ShopWork

from .features import part_feature, read_features
from .known import Known
from .reading import Entry, read_folder, read_yaml

_PART_FIELDS = (
    "number", "name", "category", "price", "tracking", "costing", "standing", "note", "source", "features",
    "also_known_as", "superseded_by", "makeup",
)  # fmt: skip


def load_parts(known: Known, today: datetime.date) -> None:
    """Everything of parts.yaml and of the folder parts/, one file per maker."""
    words = read_yaml("parts.yaml")
    words.only("categories", "feature_kinds", "works")
    _load_categories(words, known)
    _load_kinds(words, known)
    entries: list[tuple[Entry, Part]] = []
    for file in read_folder("parts"):
        entries += _load_maker(file, known)
    for entry, part in entries:
        _load_other_numbers(entry, part)
        _load_supersession(entry, part, known, today)
        _load_makeup(entry, part, known)
    _load_works(words, known)


def _load_categories(words: Entry, known: Known) -> None:
    categories = words.entry("categories")
    rows = [Category(code=code, name=categories.text(code)) for code in categories.data]
    known.categories |= {row.code: row for row in Category.objects.bulk_create(rows)}


def _load_kinds(words: Entry, known: Known) -> None:
    rows = []
    for entry in words.entries("feature_kinds"):
        entry.only("code", "name", "quantity", "unit")
        rows.append(
            FeatureKind(
                code=entry.text("code"),
                name=entry.text("name"),
                quantity=entry.choice("quantity", [str(v) for v in FeatureKind.Quantity.values], "length"),
                unit=entry.text("unit", ""),
            )
        )
    known.kinds |= {row.code: row for row in FeatureKind.objects.bulk_create(rows)}


def _load_maker(file: Entry, known: Known) -> list[tuple[Entry, Part]]:
    file.only("maker", "name", "parts")
    maker = Maker.objects.create(code=file.text("maker"), name=file.text("name"))
    entries = file.entries("parts", named_by="number")
    parts = Part.objects.bulk_create([_part(entry, maker, known) for entry in entries])
    features: list[PartFeature] = []
    for entry, part in zip(entries, parts, strict=True):
        label = f"{maker.code} {part.number}"
        if label in known.parts:
            raise entry.wrong("number", f"{part.number!r} is there twice; drop one")
        known.parts[label] = part
        for value in read_features(entry, known):
            feature = part_feature(value)
            feature.part = part
            features.append(feature)
    PartFeature.objects.bulk_create(features)
    return list(zip(entries, parts, strict=True))


def _part(entry: Entry, maker: Maker, known: Known) -> Part:
    entry.only(*_PART_FIELDS)
    number = entry.text("number")
    return Part(
        maker=maker,
        number=number,
        key=scan_key(number),  # bulk_create goes past Part.save
        name=entry.text("name"),
        category=known.category(entry, "category"),
        price=entry.money("price"),
        tracking=entry.choice("tracking", [str(v) for v in Part.Tracking.values], "none"),
        costing=entry.choice("costing", [str(v) for v in Part.Costing.values], "average"),
        standing=entry.choice("standing", [str(v) for v in Part.Standing.values], "current"),
        note=entry.text("note", ""),
    )


def _load_other_numbers(entry: Entry, part: Part) -> None:
    kinds = [str(value) for value in AlternateNumber.Kind.values]
    for other in entry.entries("also_known_as", named_by="number"):
        other.only("number", "kind")
        AlternateNumber.objects.create(
            part=part, number=other.text("number"), kind=other.choice("kind", kinds)
        )


def _load_supersession(entry: Entry, part: Part, known: Known, today: datetime.date) -> None:
    if not entry.has("superseded_by"):
        return
    successor = entry.entry("superseded_by")
    successor.only("part", "days_ago", "drop_in", "note")
    Supersession.objects.create(
        old=part,
        new=known.part(successor, "part"),
        since=today - datetime.timedelta(days=successor.whole("days_ago")),
        drop_in=successor.flag("drop_in", True),
        note=successor.text("note", ""),
    )


def _load_makeup(entry: Entry, part: Part, known: Known) -> None:
    for line in entry.entries("makeup", named_by="part"):
        line.only("part", "quantity")
        Makeup.objects.create(part=part, component=known.part(line, "part"), quantity=line.whole("quantity"))


def _load_works(words: Entry, known: Known) -> None:
    for entry in words.entries("works"):
        entry.only("code", "name", "category", "feature", "lowers", "most", "keeps", "price", "minutes",
                   "done_by")  # fmt: skip
        ShopWork.objects.create(
            code=entry.text("code"),
            name=entry.text("name"),
            category=known.category(entry, "category"),
            feature=known.kind(entry, "feature"),
            lowers=entry.flag("lowers"),
            most=entry.length("most") or 0,
            keeps=entry.length("keeps") or 0,
            price=entry.money("price"),
            minutes=entry.whole("minutes"),
            done_by=entry.text("done_by"),
        )
