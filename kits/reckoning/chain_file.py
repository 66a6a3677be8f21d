"""The file of a dimension chain: TOML that a machinist writes at the bench. `HOW` shows one.

Whatever is not understood is a FitError that names the place in the file; nothing is passed over.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterable
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction
from typing import Any, Final

from kits.fit import Band, FitError, Measured, Term, Wanted, Work
from kits.fit.length import ZERO, Length
from kits.reckoning.reading import length, size

HOW: Final = """\
  title = "Gap between nose end and washer"
  wanted = "0.20..1.00 mm"          # or at_least = "0.20 mm", at_most = "1.00 mm", or one of them

  [[link]]
  name = "pulley hub"
  add = "28.00 +/-0.05 mm"          # add what makes the result larger, take what makes it smaller
  source = "drawing"                # optional

  [[link]]
  name = "crank nose"
  take = "38.00 +/-0.05 mm"         # or take = "unknown": the answer says what to measure
  quantity = 1                      # optional: so many like parts, each varying by itself
  times = 1                         # optional: one part counted so many times
  over = 1                          # optional: or in part only, as over = 2 for half a diameter
  measured = "outside"              # optional: outside, bore or depth, for the tool that is named

  [[link]]
  name = "spacer"
  add = "unknown"                   # or the size that it has now
  open = true                       # one link at most: which sizes make the result right?

  [[stock]]                         # what may stand in the open link
  name = "spacer A"
  size = "10.60 +/-0.02 mm"

  [[work]]                          # a shop work on a link
  on = "spacer"
  name = "face it to length"
  takes_off = "0.80 mm"             # at most; or opens_by, where the size becomes larger
  keeps = "0.02 mm"                 # it leaves the size wanted +/- this much
  minutes = 12                      # optional
"""
_MOST: Final = 500  # links, pieces of stock and works; above it is a slip, not a chain
_LEAST: Final = Decimal("0.001")
_ROLES: Final = ("outside", "bore", "depth")
_UNKNOWN: Final = "unknown"


@dataclass(frozen=True, slots=True)
class FileLink:
    """One link; `quantity` parts like it, each varying by itself, and each counted `factor` times."""

    name: str
    sign: int
    band: Band | None
    factor: Fraction
    quantity: int
    source: str
    role: str
    is_open: bool
    works: tuple[Work, ...] = ()

    def terms(self, fitted: Band | None = None, called: str = "") -> tuple[Term, ...]:
        """A term for each of its parts, of the size `fitted` or its own."""
        name, band = called or self.name, fitted or self.band
        names = [name] if self.quantity == 1 else [f"{name} {i + 1}" for i in range(self.quantity)]
        return tuple(
            Term(self.sign, Measured("", each, band, self.source), self.factor, self.works, self.role)
            for each in names
        )


@dataclass(frozen=True, slots=True)
class Piece:
    """A stocked part that may stand in the open link."""

    name: str
    size: Band


@dataclass(frozen=True, slots=True)
class ChainFile:
    """A chain as its file gives it."""

    title: str
    wanted: Wanted | None
    links: tuple[FileLink, ...]
    stock: tuple[Piece, ...]

    @property
    def open_link(self) -> FileLink | None:
        """The link whose size is to be found, if one is open."""
        return next((link for link in self.links if link.is_open), None)


def read_chain(text: str) -> ChainFile:
    """The chain in the text of a TOML file."""
    try:
        whole = tomllib.loads(text, parse_float=Decimal)
    except (ValueError, RecursionError) as error:  # A whole number of 5000 digits is a ValueError.
        reason = str(error) or "it is nested too deeply"
        raise FitError(f"the file is not TOML: {reason}; --help shows a file to begin with") from error
    file = _Place("the file", whole, "title wanted at_least at_most link stock work")
    places = {name: file.tables(name) for name in ("link", "stock", "work")}
    links = tuple(_link(place) for place in places["link"])
    _check_links(links)
    works = [_work(place, links) for place in places["work"]]
    links = tuple(_with_works(link, works) for link in links)
    stock = tuple(_piece(place) for place in places["stock"])
    made = ChainFile(file.text("title", "Result"), _wanted(file), links, stock)
    _check_open(made)
    return made


class _Place:
    """One table of the file; its errors say where it stands."""

    def __init__(self, where: str, table: Any, known: str = "") -> None:
        if not isinstance(table, dict):
            raise FitError(f"{where} is to be a table with names and values; --help shows a file")
        self.where, self.table = where, table
        if known:
            self.only(known)

    def only(self, known: str) -> _Place:
        """Refuse any name that is not one of these."""
        names = known.split()
        if unknown := [name for name in self.table if name not in names]:
            raise FitError(
                f"{self.where} has {unknown[0][:40]!r}, which means nothing here; use {', '.join(names)}"
            )
        return self

    def tables(self, name: str) -> list[_Place]:
        """The tables [[name]], each called by its name in the file where it has one."""
        found = self.table.get(name, [])
        if not isinstance(found, list):
            raise FitError(f"write each {name} under [[{name}]], with two brackets")
        if len(found) > _MOST:
            raise FitError(f"there are {len(found)} of [[{name}]]; {_MOST} at most are read")
        called = [each.get("name") if isinstance(each, dict) else None for each in found]
        return [
            _Place(f"{name} {i}" + (f" ({title})" if isinstance(title, str) else ""), each)
            for i, (title, each) in enumerate(zip(called, found, strict=True), 1)
        ]

    def text(self, name: str, default: str | None = None) -> str:
        """A line of text."""
        value = self.table.get(name, default)
        if value is None:
            raise FitError(f"{self.where} has no {name}; write {name} = '...'")
        if not isinstance(value, str) or not value.strip() or not value.isprintable() or len(value) > 80:
            raise FitError(f"{self.where}: {name} is to be a line of text in quotes, up to 80 characters")
        return " ".join(value.split())

    def band(self, name: str) -> Band:
        """A size, as on a drawing."""
        try:
            return size(self.text(name))
        except FitError as error:
            raise FitError(f"{self.where}: {error}") from error

    def length(self, name: str) -> Length:
        """One length."""
        try:
            return length(self.text(name))
        except FitError as error:
            raise FitError(f"{self.where}: {error}") from error

    def whole(self, name: str, default: int, least: int, most: int) -> int:
        """A whole number between two others."""
        value = self.table.get(name, default)
        if isinstance(value, bool) or not isinstance(value, int) or not least <= value <= most:
            raise FitError(f"{self.where}: {name} is a whole number from {least} to {most}, without quotes")
        return value

    def factor(self, name: str) -> Fraction:
        """A number above zero; 1 where it is not given."""
        value = self.table.get(name, 1)
        exact = Decimal(value) if isinstance(value, int | Decimal) and not isinstance(value, bool) else None
        # A finite one comes first: no order is known of a NaN, and 1e-999999 would fill the memory.
        if exact is None or not exact.is_finite() or not _LEAST <= exact <= 1000 or exact != round(exact, 9):
            how = f"a number from {_LEAST} to 1000 with nine decimals at most, without quotes"
            raise FitError(f"{self.where}: {name} is {how}")
        return Fraction(exact)


def _link(place: _Place) -> FileLink:
    place.only("name add take times over quantity source open measured")
    ways = [way for way in ("add", "take") if way in place.table]
    if len(ways) != 1:
        how = "add = '10.00 +/-0.02 mm' where it makes the result larger, take = ... where smaller"
        raise FitError(f"{place.where} is to have either add or take; write {how}")
    way = ways[0]
    is_open, role = place.table.get("open", False), place.text("measured", "outside")
    if not isinstance(is_open, bool):
        raise FitError(f"{place.where}: open is true or false, without quotes")
    if role not in _ROLES:
        raise FitError(f"{place.where}: measured is one of {', '.join(_ROLES)}, not {role!r}")
    return FileLink(
        place.text("name"),
        1 if way == "add" else -1,
        None if place.text(way).lower() == _UNKNOWN else place.band(way),
        place.factor("times") / place.factor("over"),
        place.whole("quantity", 1, 1, 100),
        place.text("source", "as given"),
        role,
        is_open,
    )


def _piece(place: _Place) -> Piece:
    place.only("name size")
    return Piece(place.text("name"), place.band("size"))


def _work(place: _Place, links: Iterable[FileLink]) -> tuple[str, Work]:
    place.only("on name takes_off opens_by keeps minutes")
    on, names = place.text("on"), [link.name for link in links]
    if on not in names:
        raise FitError(f"{place.where} is on {on!r}, which is no link; the links are {', '.join(names)}")
    ways = [way for way in ("takes_off", "opens_by") if way in place.table]
    if len(ways) != 1:
        raise FitError(f"{place.where} is to have either takes_off or opens_by, as in takes_off = '0.80 mm'")
    most, keeps = place.length(ways[0]), place.length("keeps")
    if most <= ZERO or keeps < ZERO:
        raise FitError(f"{place.where}: {ways[0]} is above zero, and keeps zero or more")
    name, minutes = place.text("name"), place.whole("minutes", 0, 0, 100_000)
    return on, Work(name, name, ways[0] == "takes_off", most, keeps, Decimal(0), minutes, "")


def _with_works(link: FileLink, works: Iterable[tuple[str, Work]]) -> FileLink:
    return replace(link, works=tuple(work for on, work in works if on == link.name))


def _wanted(file: _Place) -> Wanted | None:
    if "wanted" not in file.table:
        ends = [file.length(name) if name in file.table else None for name in ("at_least", "at_most")]
        return Wanted(*ends) if any(end is not None for end in ends) else None
    if "at_least" in file.table or "at_most" in file.table:
        raise FitError("give either wanted, or at_least and at_most, not both")
    band = file.band("wanted")
    return Wanted(band.lo, band.hi)


def _check_links(links: tuple[FileLink, ...]) -> None:
    names = [link.name for link in links]
    if not names:
        raise FitError("the file has no links; write each under [[link]], as --help shows")
    if twice := sorted({name for name in names if names.count(name) > 1}):
        raise FitError(f"two links have the same name: {', '.join(twice)}; give each its own, or a quantity")
    if len(opened := [link.name for link in links if link.is_open]) > 1:
        count = "two" if len(opened) == 2 else str(len(opened))
        raise FitError(
            f"{count} open links ({', '.join(opened)}): one sum gives one size; leave one open and give the "
            "others their sizes"
        )


def _check_open(file: ChainFile) -> None:
    if file.open_link and file.wanted is None:
        raise FitError("which size the open link needs depends on what is wanted; write wanted = '...'")
    if file.stock and not file.open_link:
        raise FitError("stock stands in an open link, and none is open; write open = true in its [[link]]")
