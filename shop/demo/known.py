"""What has been loaded so far, by the names that the fixture files use."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TypeVar

from inventory.models import Category, Part, Place, Supplier
from kits.models import Engine, FeatureKind, KitTemplate

from .reading import Entry

T = TypeVar("T")


@dataclass
class Known:
    """A part is named by its maker's code and its number: "aldwen AW-1200"."""

    categories: dict[str, Category] = field(default_factory=dict)
    kinds: dict[str, FeatureKind] = field(default_factory=dict)
    parts: dict[str, Part] = field(default_factory=dict)
    engines: dict[str, Engine] = field(default_factory=dict)
    templates: dict[str, KitTemplate] = field(default_factory=dict)
    suppliers: dict[str, Supplier] = field(default_factory=dict)
    places: dict[str, Place] = field(default_factory=dict)

    def category(self, entry: Entry, name: str) -> Category:
        return find(self.categories, entry, name, entry.text(name), "parts.yaml")

    def kind(self, entry: Entry, name: str, code: str | None = None) -> FeatureKind:
        return find(self.kinds, entry, name, entry.text(name) if code is None else code, "parts.yaml")

    def part(self, entry: Entry, name: str, label: str | None = None) -> Part:
        return find(self.parts, entry, name, entry.text(name) if label is None else label, "parts/")

    def engine(self, entry: Entry, name: str, code: str) -> Engine:
        return find(self.engines, entry, name, code, "engines.yaml")

    def template(self, entry: Entry, name: str) -> KitTemplate:
        return find(self.templates, entry, name, entry.text(name), "templates/")

    def supplier(self, entry: Entry, name: str) -> Supplier:
        return find(self.suppliers, entry, name, entry.text(name), "suppliers.yaml")

    def place(self, entry: Entry, name: str) -> Place:
        return find(self.places, entry, name, entry.text(name), "places.yaml")


def find(table: dict[str, T], entry: Entry, name: str, code: str, listed_in: str) -> T:
    """What goes by this code, or the error that says where it should have been listed."""
    try:
        return table[code]
    except KeyError:
        raise entry.wrong(name, f"{code!r} is not in {listed_in}; add it there or mend the name") from None
