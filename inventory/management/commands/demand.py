"""`manage.py demand`: what was asked of parts, period by period, as `manage.py backtest` reads it."""

import csv
from datetime import date
from typing import Any

import numpy as np
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from inventory.demand import known_demand
from inventory.models import AlternateNumber, Part, scan_key
from inventory.planning.demand import Series

WITHOUT = {"lost": "lost", "one-offs": "one_offs", "stand-ins": "stand_ins"}


class Command(BaseCommand):
    help = "Print past demand as CSV: a line for each whole month or week, a column for each part."

    def add_arguments(self, parser: CommandParser) -> None:
        """Which parts, by what periods, and what to leave out."""
        parser.add_argument("--part", action="append", default=[], metavar="NUMBER", help="all parts if none")
        parser.add_argument("--every", choices=["month", "week"], default="month", help="(month)")
        parser.add_argument("--until", help="whole periods before this day, 2026-10-31 (today)")
        parser.add_argument(
            "--without", default="", help=f"some of {', '.join(WITHOUT)}, separated by commas"
        )

    def handle(self, *_args: Any, **options: Any) -> None:
        """An empty cell is a period before the part was on sale; a part that never was has no column."""
        parts = [_part_numbered(number) for number in options["part"]]
        table = known_demand(
            _day(options["until"]),
            every=options["every"],
            part_ids=[part.pk for part in parts] if parts else None,
            **_left_out(options["without"]),
        )
        for part in parts:
            if part.pk not in table.parts:
                self.stderr.write(f"{part} is superseded: its demand is in the column of its successor.")
        columns = np.flatnonzero(~np.isnan(table.values).all(axis=1))
        written = csv.writer(self.stdout, lineterminator="\n")
        written.writerow([options["every"], *_headings(table, columns.tolist())])
        for period, first_day in enumerate(table.periods):
            said = f"{first_day:%Y-%m}" if options["every"] == "month" else first_day.isoformat()
            written.writerow([said, *map(_cell, table.values[columns, period].tolist())])


def _cell(pieces: float) -> str:
    return "" if np.isnan(pieces) else str(int(pieces))


def _headings(table: Series[int], columns: list[int]) -> list[str]:
    """Maker's code and number, by which a person knows the part."""
    named = {
        pk: f"{maker} {number}"
        for pk, maker, number in Part.objects.values_list("pk", "maker__code", "number")
    }
    return [named[table.parts[column]] for column in columns]


def _part_numbered(said: str) -> Part:
    """By number or other number, with or without the maker's code before it."""
    maker, _, rest = said.strip().partition(" ")
    key = scan_key(said)
    parts = set(Part.objects.select_related("maker").filter(key=key))
    parts |= {other.part for other in AlternateNumber.objects.filter(key=key).select_related("part__maker")}
    parts |= set(Part.objects.select_related("maker").filter(maker__code=maker, key=scan_key(rest)))
    if len(parts) == 1:
        return parts.pop()
    if not parts:
        raise CommandError(f"No part is numbered {said!r}: look it up in the stock room.")
    raise CommandError(
        f"{said!r} is {' and '.join(sorted(map(str, parts)))}: put the maker's code before it."
    )


def _left_out(said: str) -> dict[str, bool]:
    names = [name.strip() for name in said.split(",") if name.strip()]
    if strange := sorted(set(names) - set(WITHOUT)):
        raise CommandError(f"Nothing is called {', '.join(strange)}: leave out {', '.join(WITHOUT)}.")
    return {WITHOUT[name]: False for name in names}


def _day(said: str | None) -> date:
    if said is None:
        return timezone.localdate()
    try:
        return date.fromisoformat(said)
    except ValueError as error:
        raise CommandError(f"{said!r} is no day: write 2026-10-31.") from error
