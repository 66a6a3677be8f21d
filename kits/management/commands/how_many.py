"""`manage.py how_many belt-front --on 2026-12-01`: how many whole kits could ship, and what is in the way."""

import json
from argparse import ArgumentParser
from datetime import date
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from inventory.planning import PlanningError
from kits.buildable import NoSuchConversion
from kits.how_many import KITS, MOST, Counted, Overview, overview
from kits.how_many_said import as_dict


class Command(BaseCommand):
    help = "Counts the whole kits that the shelves give, now and later, and names what stands in the way."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("template", nargs="?", default="", help="A template's code; else all released.")
        parser.add_argument("--engine", default="", help="An engine's code; else all engines.")
        parser.add_argument("--on", type=date.fromisoformat, help="A day, as in 2026-12-01; else today.")
        parser.add_argument(
            "--most", choices=MOST, default=KITS, help="What the plan has most of; else kits."
        )
        parser.add_argument("--json", action="store_true", help="Plain values instead of a page of text.")

    def handle(self, *_args: Any, template: str, engine: str, on: date | None, **options: Any) -> None:
        try:
            found = overview(timezone.now(), template, engine, on, options["most"])
        except (NoSuchConversion, PlanningError) as error:
            raise CommandError(str(error)) from error
        if options["json"]:
            self.stdout.write(json.dumps(as_dict(found), indent=2, ensure_ascii=False))
            return
        self.stdout.write(f"Whole kits from the shelves on {found.day.on}, all conversions together")
        for number, one in enumerate(found.day.counted):
            self._conversion(one, [ahead.kits[number] for ahead in found.ahead], found.day.most)
        self._together(found)

    def _conversion(self, one: Counted, ahead: list[int], most: str) -> None:
        limit = "" if one.conversion.exact else "at most "
        self.stdout.write(f"\n{one.conversion.title}")
        if not one.conversion.slots:
            self.stdout.write("  No whole kit goes together without measuring something first.")
            return
        said = f"{limit}{one.together} in the plan of most {most}, {limit}{one.alone} if it were alone"
        self.stdout.write(f"  {said}; today, in 7, 14 and 30 days: {', '.join(map(str, ahead))}")
        for stand_in, kits in one.stand_ins:
            agreed = "" if stand_in.agreement in ("", "nobody") else f" ({stand_in.agreement} must agree)"
            self.stdout.write(f"  {kits} with {stand_in.label} as {stand_in.slot}{agreed}")
        for way in one.in_the_way:
            self.stdout.write(f"  {way.said}")
        lacks = ", ".join(f"{short.pieces} of {short.part}" for short in one.lacks)
        if lacks:
            self.stdout.write(f"  One more kit lacks {lacks}.")

    def _together(self, found: Overview) -> None:
        self.stdout.write(f"\n{found.day.together} kits together, {found.day.price:.2f} at standard prices")
        for way in found.day.in_the_way:
            self.stdout.write(f"  {way.said}")
