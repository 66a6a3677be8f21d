"""Reading the fixture files: every error names the file, the entry, the field, and what to do."""

from __future__ import annotations

import csv
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from pathlib import Path
from typing import Any

import yaml
from django.conf import settings

from kits.fit import Band, FitError, Length

FOLDER = Path(settings.BASE_DIR) / "fixtures" / "demo"

# The C loader reads the scenario several times faster, where PyYAML was built with it.
_LOADER: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


class FixtureError(Exception):
    """A fixture file that cannot be loaded as it stands."""


@dataclass(frozen=True)
class Entry:
    """One mapping of a file, and where it stands there."""

    file: str
    where: str
    data: Mapping[str, Any]

    def wrong(self, field: str, what: str) -> FixtureError:
        """The error to raise: `what` says what is wrong and what to do."""
        place = f"{self.where}, " if self.where else ""
        return FixtureError(f"{self.file}: {place}{field}: {what}")

    def has(self, field: str) -> bool:
        return self.data.get(field) not in (None, "")

    def only(self, *fields: str) -> None:
        """Refuse a field that nobody reads: it is a slip of the pen."""
        for field in self.data:
            if field not in fields:
                raise self.wrong(field, f"is not known here; use one of {', '.join(fields)}")

    def text(self, field: str, default: str | None = None) -> str:
        if not self.has(field):
            if default is None:
                raise self.wrong(field, "is missing; give it")
            return default
        value = self.data[field]
        if not isinstance(value, str):
            raise self.wrong(field, f"{value!r} is read as {type(value).__name__}; put it in quotes")
        return value.strip()

    def whole(self, field: str, default: int | None = None) -> int:
        if not self.has(field):
            if default is None:
                raise self.wrong(field, "is missing; give a whole number")
            return default
        try:
            return int(str(self.data[field]))
        except ValueError:
            raise self.wrong(field, f"{self.data[field]!r} is not a whole number; write one") from None

    def money(self, field: str, default: str | None = None) -> Decimal:
        """A decimal figure, read from text so that no float is ever involved."""
        text = self.text(field, default)
        try:
            return Decimal(text)
        except InvalidOperation:
            raise self.wrong(field, f"{text!r} is not a figure; write it as in '12.50'") from None

    def flag(self, field: str, default: bool = False) -> bool:
        value = self.data.get(field, default)
        if not isinstance(value, bool):
            raise self.wrong(field, f"{value!r} is neither true nor false; write one of them")
        return value

    def choice(self, field: str, choices: list[str], default: str | None = None) -> str:
        value = self.text(field, default)
        if value not in choices:
            raise self.wrong(field, f"{value!r} is not one of {', '.join(choices)}; use one of them")
        return value

    def length(self, field: str) -> int | None:
        """Whole units of 10 nm, or None where the field is absent."""
        if not self.has(field):
            return None
        try:
            return Length.parse(self.text(field)).units
        except FitError as error:
            raise self.wrong(field, str(error)) from None

    def band(self, field: str) -> Band:
        try:
            return Band.parse(self.text(field))
        except FitError as error:
            raise self.wrong(field, str(error)) from None

    def names(self, field: str) -> list[str]:
        values = self.data.get(field) or []
        if not isinstance(values, list) or not all(isinstance(value, str) for value in values):
            raise self.wrong(field, "is a list of texts; write it as [one, two], in quotes where it must be")
        return values

    def entry(self, field: str) -> Entry:
        """The mapping in a field; empty where the field is absent."""
        value = self.data.get(field) or {}
        if not isinstance(value, dict):
            raise self.wrong(field, "is a mapping of names to values; write it so")
        return Entry(self.file, f"{self.where} {field}".strip(), value)

    def entries(self, field: str, named_by: str = "code") -> list[Entry]:
        """The mappings listed in a field, each known by its `named_by` or its place in the list."""
        values = self.data.get(field) or []
        if not isinstance(values, list) or not all(isinstance(value, dict) for value in values):
            raise self.wrong(field, "is a list of mappings; begin each with a dash")
        return [
            Entry(self.file, f"{self.where} {field} {value.get(named_by, place)}".strip(), value)
            for place, value in enumerate(values, start=1)
        ]


def read_yaml(name: str, folder: Path | None = None) -> Entry:
    """A YAML file of the scenario, a mapping at its top."""
    path = (folder or FOLDER) / name
    try:
        data = yaml.load(path.read_text(encoding="utf-8"), Loader=_LOADER)  # noqa: S506  # safe, both of them
    except FileNotFoundError:
        raise FixtureError(f"{name}: the file is missing in {path.parent.name}; put it back") from None
    except yaml.YAMLError as error:
        raise FixtureError(f"{name}: is not YAML; mend it where it says so: {error}") from None
    if not isinstance(data, dict):
        raise FixtureError(f"{name}: begins with no mapping; write names with values")
    return Entry(name, "", data)


def read_folder(name: str) -> list[Entry]:
    """Every YAML file of a folder, by name."""
    paths = sorted((FOLDER / name).glob("*.yaml"))
    if not paths:
        raise FixtureError(f"{name}: has no .yaml file; put the scenario's files back")
    return [read_yaml(f"{name}/{path.name}") for path in paths]


def read_csv(name: str, columns: list[str], folder: Path | None = None) -> list[Entry]:
    """The rows of a CSV file whose heading must be exactly `columns`."""
    path = (folder or FOLDER) / name
    try:
        text = path.read_text(encoding="utf-8")
    except FileNotFoundError:
        raise FixtureError(f"{name}: the file is missing in {path.parent.name}; put it back") from None
    reader = csv.DictReader(text.splitlines())
    if reader.fieldnames != columns:
        raise FixtureError(f"{name}: heading: is {reader.fieldnames}; write {','.join(columns)}")
    rows: list[Entry] = []
    for row in reader:
        entry = Entry(name, f"line {reader.line_num}", {k: v for k, v in row.items() if k is not None})
        if None in row or None in row.values():
            raise entry.wrong("columns", f"there should be {len(columns)}; add or drop a comma")
        rows.append(entry)
    return rows
