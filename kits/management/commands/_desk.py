"""What the desk calculator's commands share: units, JSON, and errors without a traceback."""

import json
from abc import ABC, abstractmethod
from argparse import RawDescriptionHelpFormatter
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser, DjangoHelpFormatter

from kits.fit import FitError
from kits.reckoning import Sheet


class _Formatter(DjangoHelpFormatter, RawDescriptionHelpFormatter):
    """Keeps the lines of examples as they are."""


class DeskCommand(BaseCommand, ABC):
    """A command that reckons one sheet from what is typed; it needs no database."""

    requires_system_checks = ()
    examples = ""

    def create_parser(self, prog_name: str, subcommand: str, **kwargs: Any) -> CommandParser:
        """Show the examples below the options."""
        kwargs = {"formatter_class": _Formatter, "epilog": self.examples, **kwargs}
        return super().create_parser(prog_name, subcommand, **kwargs)

    def add_arguments(self, parser: CommandParser) -> None:
        """The options of every desk command; a command adds its own."""
        parser.add_argument("--json", action="store_true", help="Plain values instead of a page of text.")
        parser.add_argument(
            "--unit",
            default="mm",
            choices=["mm", "in"],
            help="Which unit stands first in the text, the other in brackets (mm).",
        )

    @abstractmethod
    def reckon(self, options: dict[str, Any]) -> Sheet:
        """The sheet that these options ask for; FitError where they cannot be used."""

    def handle(self, *_args: Any, **options: Any) -> None:
        """Print the sheet, or end with exit code 1 and what to do instead."""
        try:
            sheet = self.reckon(options)
        except FitError as error:
            message = str(error)
            raise CommandError(message if message.endswith(("?", ".")) else f"{message}.") from error
        if options["json"]:
            self.stdout.write(json.dumps(sheet.as_dict(), indent=2, ensure_ascii=False))
        else:
            self.stdout.write(sheet.text(options["unit"]), ending="")
