"""A sheet: the answer of one command, laid out for a screen or as plain values."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Final

from kits.fit import Finding
from kits.fit.length import Unit
from kits.reckoning.said import Said, turned

_WIDTH: Final = 100
CAUTION: Final = (
    "Figures for the shop's own planning: arithmetic on the sizes given, not an inspection. The maker's "
    "manual, local codes and licensed practice come first."
)


@dataclass(frozen=True, slots=True)
class Fact:
    """One figure by name; `note` says where it comes from or what it is good for."""

    code: str
    name: str
    said: Said
    note: str = ""


@dataclass(frozen=True, slots=True)
class Group:
    """Figures under one heading."""

    code: str
    heading: str
    facts: tuple[Fact, ...]

    def plain(self) -> Any:
        """Each figure by its code."""
        return {fact.code: fact.said.plain for fact in self.facts}

    def lines(self, unit: Unit) -> Iterator[str]:
        """Name, figure and note, aligned."""
        yield self.heading
        name_width = max(len(fact.name) for fact in self.facts)
        for fact in self.facts:
            note = f"  [{fact.note}]" if fact.note else ""
            start = f"  {fact.name:<{name_width}}  "
            yield from _wrapped(start, turned(fact.said.text, unit) + note)


@dataclass(frozen=True, slots=True)
class Table:
    """Rows of figures; `columns` are (code, heading)."""

    code: str
    heading: str
    columns: tuple[tuple[str, str], ...]
    rows: tuple[tuple[Said, ...], ...]

    def plain(self) -> Any:
        """Each row with its figures by the codes of the columns."""
        codes = [code for code, _ in self.columns]
        return [dict(zip(codes, (said.plain for said in row), strict=True)) for row in self.rows]

    def lines(self, unit: Unit) -> Iterator[str]:
        """Headings and rows, aligned; a last cell that is too long is wrapped below itself."""
        yield self.heading
        cells = [[heading for _, heading in self.columns]]
        cells += [[turned(said.text, unit) for said in row] for row in self.rows]
        widths = [max(map(len, column)) for column in zip(*cells, strict=True)]
        for row in cells:
            *first, last = (f"{cell:<{width}}" for cell, width in zip(row, widths, strict=True))
            yield from _wrapped("".join(f"  {cell}" for cell in first) + "  ", last)


@dataclass(frozen=True, slots=True)
class Sheet:
    """What a command answers: its figures, a verdict where one was asked for, and what it assumes."""

    title: str
    parts: tuple[Group | Table, ...]
    assumes: tuple[str, ...]
    finding: Finding | None = None
    cautions: tuple[str, ...] = (CAUTION,)

    def text(self, unit: Unit = "mm") -> str:
        """For a screen of 100 columns, in the reader's unit with the other in brackets."""
        lines = [*textwrap.wrap(turned(self.title, unit), _WIDTH)]
        for part in self.parts:
            lines += ["", *part.lines(unit)]
        if self.finding:
            verdict = self.finding.verdict.value.upper()
            lines += ["", *_wrapped("  ", f"{verdict}: {turned(self.finding.reason, unit)}", "")]
        lines.append("")
        for name, sentences in (("Assumes", self.assumes), ("Caution", self.cautions)):
            lines += _wrapped("  ", f"{name}: {turned(' '.join(sentences), unit)}", "")
        return "\n".join(line.rstrip() for line in lines) + "\n"

    def as_dict(self) -> dict[str, Any]:
        """Plain values for JSON: lengths as exact text in mm and as whole units of 10 nm."""
        return {
            "title": self.title,
            **{part.code: part.plain() for part in self.parts},
            "finding": None if self.finding is None else self.finding.as_dict(),
            "assumes": list(self.assumes),
            "cautions": list(self.cautions),
        }


def _wrapped(start: str, text: str, first: str | None = None) -> list[str]:
    """Lines that begin with `first` (or `start`), those after the first indented as far as `start`."""
    lead = start if first is None else first
    width = max(_WIDTH, len(start) + 30)
    return textwrap.wrap(
        text,
        width,
        initial_indent=lead,
        subsequent_indent=" " * len(start),
        break_long_words=False,
        break_on_hyphens=False,
    ) or [lead]
