"""Reads a page as a screen reader would: headings, fields with their labels, buttons with their names."""

from __future__ import annotations

from dataclasses import dataclass, field
from html.parser import HTMLParser
from typing import Protocol

APART = {"dt", "dd", "td", "th", "li", "p", "option", "span"}
UNLABELLED = {"hidden", "submit", "button"}


class Answer(Protocol):
    """What a test client hands back."""

    @property
    def content(self) -> bytes: ...


@dataclass
class Field:
    name: str
    id: str
    value: str


@dataclass
class Reading(HTMLParser):
    """What a page holds; `faults` are the plain accessibility slips found on it."""

    language: str = ""
    h1: int = 0
    fields: list[Field] = field(default_factory=list)
    labels: set[str] = field(default_factory=set)
    ids: list[str] = field(default_factory=list)
    links: list[str] = field(default_factory=list)
    text: str = ""
    nameless: int = 0
    _open: list[tuple[str, str]] = field(default_factory=list)

    def __post_init__(self) -> None:
        super().__init__()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = {name: value or "" for name, value in attrs}
        if "id" in given:
            self.ids.append(given["id"])
        if tag == "html":
            self.language = given.get("lang", "")
        self.h1 += tag == "h1"
        if tag in APART:
            self.text += " "
        if tag == "label":
            self.labels.add(given.get("for", ""))
        if tag == "a":
            self.links.append(given.get("href", ""))
        if tag in ("input", "select", "textarea") and given.get("type") not in UNLABELLED:
            self.fields.append(Field(given.get("name", ""), given.get("id", ""), given.get("value", "")))
        if tag in ("a", "button"):
            self._open.append((tag, self.text))

    def handle_endtag(self, tag: str) -> None:
        if self._open and self._open[-1][0] == tag:
            _, before = self._open.pop()
            self.nameless += not self.text[len(before) :].strip()

    def handle_data(self, data: str) -> None:
        self.text += data

    @property
    def faults(self) -> list[str]:
        found = [f"field {one.name!r} has no label" for one in self.fields if one.id not in self.labels]
        found += [f"id {one!r} is there twice" for one in set(self.ids) if self.ids.count(one) > 1]
        if self.h1 != 1:
            found.append(f"{self.h1} headings of the first level")
        if not self.language:
            found.append("the page does not say its language")
        if self.nameless:
            found.append(f"{self.nameless} links or buttons without words")
        return found


def read(answer: Answer) -> Reading:
    page = Reading()
    page.feed(answer.content.decode())
    return page


def said(answer: Answer) -> str:
    """All the words of a page, with single spaces."""
    return " ".join(read(answer).text.split())
