"""Reads what was typed into a form; what cannot be read is an ActError that says what to type."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from datetime import date
from decimal import Decimal

from inventory.acting import ActError

# Longer numbers are slips of the scanner: no shop counts so many of anything.
_WHOLE = re.compile(r"[0-9]{1,7}")
_MONEY = re.compile(r"[0-9]{1,8}(\.[0-9]{1,2})?")
LABEL = 40  # A lot's or serial's letters, and a place's are fewer.


class Unreadable(ActError):
    """A field holds something else than it asks for."""

    code = "unreadable"


def text(typed: Mapping[str, str], field: str) -> str:
    return str(typed.get(field) or "").strip()


def words(typed: Mapping[str, str], field: str) -> str:
    """The text of a field that is only looked for; a NUL, which PostgreSQL never looks for, is skipped."""
    return text(typed, field).replace("\x00", "").strip()


def label(typed: Mapping[str, str], field: str, what: str, *, most: int = LABEL) -> str:
    """The text of a field that goes onto a label or into a book: at most so many characters, or empty."""
    return _plain(text(typed, field), field, what, most)


def must_be_writable(typed: Mapping[str, str], fields: Iterable[str]) -> None:
    """Unreadable for a text that no database takes, whatever it is for."""
    for field in fields:
        _no_nul(text(typed, field), field, "A text")


def _no_nul(found: str, field: str, what: str) -> None:
    if "\x00" in found:
        raise Unreadable(f"{what} holds a character that no label has: write it again.", field=field)


def _plain(found: str, field: str, what: str, most: int) -> str:
    _no_nul(found, field, what)
    if len(found) > most:
        raise Unreadable(f"{what} has {len(found)} characters: write at most {most}.", field=field)
    return found


def needed(typed: Mapping[str, str], field: str, what: str) -> str:
    """The text of a field that must not be empty; `what` names it in the message."""
    found = text(typed, field)
    if not found:
        raise Unreadable(f"{what} is missing: fill it in and send again.", field=field)
    return found


def whole(typed: Mapping[str, str], field: str, what: str, *, least: int = 1) -> int:
    """A whole number of at least `least`."""
    found = needed(typed, field, what)
    if not _WHOLE.fullmatch(found) or int(found) < least:
        raise Unreadable(
            f"{what} is {found!r}: write a whole number of {least} or more.", field=field, typed=found
        )
    return int(found)


def maybe_whole(typed: Mapping[str, str], field: str, what: str) -> int | None:
    """A whole number, or None where the field was left empty."""
    return whole(typed, field, what) if text(typed, field) else None


def money(typed: Mapping[str, str], field: str, what: str) -> Decimal:
    """An amount of money, not below 0; spaces between its digits, as the pages write them, are skipped."""
    found = needed(typed, field, what)
    digits = "".join(found.split())
    if not _MONEY.fullmatch(digits):
        raise Unreadable(
            f"{what} is {found!r}: write an amount such as 1250 or 1250.50, with a point.",
            field=field,
            typed=found,
        )
    return Decimal(digits)


def maybe_money(typed: Mapping[str, str], field: str, what: str) -> Decimal:
    """The same, 0 where the field was left empty."""
    return money(typed, field, what) if text(typed, field) else Decimal(0)


def maybe_day(typed: Mapping[str, str], field: str, what: str) -> date | None:
    """A day as the browser's field for dates gives it, or None where it was left empty."""
    found = text(typed, field)
    try:
        return date.fromisoformat(found) if found else None
    except ValueError as error:
        raise Unreadable(
            f"{what} is {found!r}: write it as year-month-day, 2030-01-31.", field=field, typed=found
        ) from error


def day(typed: Mapping[str, str], field: str, what: str) -> date:
    """The same for a field that must not be empty."""
    needed(typed, field, what)
    found = maybe_day(typed, field, what)
    assert found is not None  # Something is in it.
    return found


def listed(typed: Mapping[str, str], field: str, what: str = "A lot or serial number") -> list[str]:
    """The lots or serial numbers of a field: one a line, or apart by commas."""
    pieces = (piece.strip() for piece in re.split(r"[\n,;]", text(typed, field)))
    return [_plain(piece, field, what, LABEL) for piece in pieces if piece]
