"""`manage.py thread M12x1.75`: a screw thread, what its bolt bears, and whether two match."""

from typing import Any

from django.core.management.base import CommandParser

from kits.management.commands._desk import DeskCommand
from kits.reckoning import Sheet, number, thread_sheet


class Command(DeskCommand):
    help = "Basic sizes of a screw thread, loads of its bolt, engagement, and whether two threads match."
    examples = """examples:
  thread M12x1.75
  thread M12 --class 8.8 --material 'cast iron'
  thread '1/2-13 UNC' --class 'grade 5' --material aluminium --unit in
  thread M12 '1/2-13 UNC'
"""

    def add_arguments(self, parser: CommandParser) -> None:
        """A thread, perhaps a second, and what is known of bolt and hole."""
        parser.add_argument(
            "thread", help="M12, M12x1.25-6g, '1/2-13 UNC', '#10-32 UNF'; of two, the bolt's."
        )
        parser.add_argument("hole_thread", nargs="?", help="The thread of the hole it is to go into.")
        parser.add_argument("--class", dest="bolt", help="The bolt's class: 8.8, 10.9, 'grade 5'...")
        parser.add_argument("--material", help="The tapped hole's material: steel, 'cast iron', aluminium...")
        parser.add_argument("--multiple", help="The engagement wanted as a multiple of the diameter: 1.5.")
        super().add_arguments(parser)

    def reckon(self, options: dict[str, Any]) -> Sheet:
        """What is given decides which figures there are."""
        multiple = options["multiple"]
        return thread_sheet(
            options["thread"],
            options["hole_thread"],
            options["bolt"],
            options["material"],
            None if multiple is None else number(multiple, "--multiple"),
        )
