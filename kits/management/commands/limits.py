"""`manage.py limits 25 H7 g6`: deviations and limits of size by ISO 286."""

from typing import Any

from django.core.management.base import CommandParser

from kits.management.commands._desk import DeskCommand
from kits.reckoning import Sheet, limits_sheet


class Command(DeskCommand):
    help = "Deviations and limits of size of ISO 286 tolerance classes."
    examples = """examples:
  limits 25 H7
  limits 25 H7 g6 k6
  limits '3/4 in' H8 --unit in
"""

    def add_arguments(self, parser: CommandParser) -> None:
        """A size and its classes, in whatever pieces the shell makes of them."""
        parser.add_argument(
            "words",
            nargs="+",
            metavar="SIZE CLASS",
            help="A size (mm where no unit stands) and one class or more: H7 for bores, g6 for shafts.",
        )
        super().add_arguments(parser)

    def reckon(self, options: dict[str, Any]) -> Sheet:
        """The classes in the order given."""
        return limits_sheet(options["words"])
