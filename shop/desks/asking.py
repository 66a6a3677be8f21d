"""What the filter over a part's history asks for, as it was typed."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from inventory.history import Sieve
from inventory.models import Movement
from shop.desks.typed import Unreadable, text

FIELDS = ("act", "place", "lot", "since", "until", "reference")


def sieve_from(typed: Mapping[str, str]) -> Sieve:
    """The sieve that was typed; Unreadable says which field holds what cannot be."""
    words = {field: _plain(typed, field) for field in ("place", "lot", "reference")}
    since, until = _day(typed, "since", "The first day"), _day(typed, "until", "The last day")
    if since and until and until < since:
        raise Unreadable(
            f"The last day, {until}, is before the first, {since}: exchange them.", field="until"
        )
    act = text(typed, "act")
    if act and act not in Movement.Act.values:
        raise Unreadable(f"There is no act {act!r}: choose one of the list.", field="act")
    return Sieve(act=act, since=since, until=until, **words)


def older_than(typed: Mapping[str, str]) -> int | None:
    """The movement from which to go on to older ones."""
    before = text(typed, "before")
    if not before:
        return None
    if not before.isascii() or not before.isdigit() or len(before) > 18:
        raise Unreadable("That page of the history is not there: begin with the latest.", field="before")
    return int(before)


def _plain(typed: Mapping[str, str], field: str) -> str:
    found = text(typed, field)
    # PostgreSQL takes no NUL, not even to look for it.
    if "\x00" in found:
        raise Unreadable("A text holds a character that no label has: write it again.", field=field)
    return found


def _day(typed: Mapping[str, str], field: str, what: str) -> date | None:
    found = text(typed, field)
    if not found:
        return None
    try:
        return date.fromisoformat(found)
    except ValueError:
        raise Unreadable(
            f"{what} is {found!r}: write it as year, month and day, such as 2026-03-28.", field=field
        ) from None
