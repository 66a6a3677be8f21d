"""`manage.py pair '25 H7' '25 g6'`: what a bore and a shaft make together."""

from typing import Any

from django.core.management.base import CommandParser

from kits.management.commands._desk import DeskCommand
from kits.reckoning import Sheet, pair_sheet, wanted_of


class Command(DeskCommand):
    help = "The clearance or interference of a bore and a shaft, and whether it is the one wanted."
    examples = """examples:
  pair '25 H7' '25 g6'
  pair '19.05 +0.02/-0.00 mm' '19.00 +/-0.01 mm' --at-least '0.02 mm' --at-most '0.09 mm'
  pair '25.01 mm' '0.9835..0.9840 in' --like '25 H7/g6'
"""

    def add_arguments(self, parser: CommandParser) -> None:
        """Two sizes, and what is wanted of them."""
        parser.add_argument("bore", help="The bore: '25 H7', '19.05 +0.02/-0.00 mm', '0.7500..0.7505 in'.")
        parser.add_argument("shaft", help="The shaft, written in the same ways.")
        parser.add_argument("--at-least", help="The least clearance wanted; below zero it is interference.")
        parser.add_argument("--at-most", help="The greatest clearance wanted.")
        parser.add_argument("--like", metavar="FIT", help="The clearance of this fit is wanted: '25 H7/g6'.")
        super().add_arguments(parser)

    def reckon(self, options: dict[str, Any]) -> Sheet:
        """Judged where something is wanted."""
        wanted = wanted_of(options["at_least"], options["at_most"], options["like"])
        return pair_sheet(options["bore"], options["shaft"], wanted)
