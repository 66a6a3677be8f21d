"""`manage.py stock_value`: what the stock is worth, part by part, now or at the end of a past day."""

import csv
from datetime import date, datetime, time
from decimal import Decimal
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from inventory.models import Lot, Part
from inventory.valuing import Worth, value_at

CENT = Decimal("0.01")
HEAD = ("part", "name", "lot", "pieces", "value")


class Command(BaseCommand):
    help = "Print what lies in the shop and what it cost, landed: part by part, with the total."

    def add_arguments(self, parser: CommandParser) -> None:
        """When, and for whom to read."""
        parser.add_argument(
            "--at", help="the end of this day, 2026-10-31, or a moment, 2026-10-31T12:00 (now)"
        )
        parser.add_argument("--csv", action="store_true", help="for a spreadsheet, to four decimals")

    def handle(self, *_args: Any, **options: Any) -> None:
        """One line for each part, or for each lot that costs by itself."""
        worths = value_at(_moment(options["at"]))
        rows = list(_rows(worths))
        total = sum((worth.value for worth in worths), Decimal(0))
        if options["csv"]:
            written = csv.writer(self.stdout)
            written.writerow(HEAD)
            written.writerows(rows)
            return
        for part, name, lot, pieces, value in rows:
            self.stdout.write(f"{part:<24}{name[:32]:<34}{lot:<12}{pieces:>8}{value.quantize(CENT):>14}")
        pieces = sum(worth.on_hand for worth in worths)
        self.stdout.write(f"{'total':<70}{pieces:>8}{total.quantize(CENT):>14}")


def _rows(worths: list[Worth]) -> list[tuple[str, str, str, int, Decimal]]:
    parts = Part.objects.select_related("maker").in_bulk({worth.part_id for worth in worths})
    lots = Lot.objects.in_bulk({worth.lot_id for worth in worths if worth.lot_id is not None})
    return [
        (
            f"{parts[worth.part_id].maker.code} {parts[worth.part_id].number}",
            parts[worth.part_id].name,
            lots[worth.lot_id].code if worth.lot_id is not None else "",
            worth.on_hand,
            worth.value,
        )
        for worth in worths
    ]


def _moment(said: str | None) -> datetime:
    """A day means its end, by the shop's clock. CommandError for what is neither day nor moment."""
    if said is None:
        return timezone.now()
    try:
        if "T" not in said:
            return timezone.make_aware(datetime.combine(date.fromisoformat(said), time.max))
        moment = datetime.fromisoformat(said)
    except ValueError as error:
        raise CommandError(f"{said!r} is no day or moment: write 2026-10-31 or 2026-10-31T12:00.") from error
    return moment if timezone.is_aware(moment) else timezone.make_aware(moment)
