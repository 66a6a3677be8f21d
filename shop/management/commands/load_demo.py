"""`manage.py load_demo`: puts the demo scenario into an empty database."""

import datetime
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from inventory.models import Part
from kits.models import Engine, KitTemplate
from shop.demo import FixtureError, is_loaded, load


class Command(BaseCommand):
    help = "Load the demo scenario of fixtures/demo. Loading it again changes nothing."

    def add_arguments(self, parser: CommandParser) -> None:
        """`--today` shifts the whole scenario."""
        parser.add_argument(
            "--today", type=datetime.date.fromisoformat, help="the day from which all dates are counted"
        )

    def handle(self, *_args: Any, **options: Any) -> None:
        """Say what was loaded, or that it is there already."""
        if is_loaded():
            self.stdout.write("The demo is loaded already; nothing was changed.")
            return
        try:
            load(options["today"] or timezone.localdate())
        except FixtureError as error:
            raise CommandError(str(error)) from error
        self.stdout.write(
            f"Loaded the demo: {Part.objects.count()} parts, {Engine.objects.count()} engines, "
            f"{KitTemplate.objects.count()} conversions."
        )
