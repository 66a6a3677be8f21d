"""Reads what was typed into a form; what cannot be read is an ActError that says what to type."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import date

from inventory.acting import ActError

# Longer numbers are slips of the scanner: no shop counts so many of anything.
_WHOLE = re.compile(r"[0-9]{1,7}")


class Unreadable(ActError):
    """A field holds something else than it asks for."""

    code = "unreadable"


def text(typed: Mapping[str, str], field: str) -> str:
    return str(typed.get(field) or "").strip()


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


def listed(typed: Mapping[str, str], field: str) -> list[str]:
    """The lots or serial numbers of a field: one a line, or apart by commas."""
    return [piece.strip() for piece in re.split(r"[\n,;]", text(typed, field)) if piece.strip()]
