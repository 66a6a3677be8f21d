"""`manage.py chain FILE`: a dimension chain from a small file."""

from pathlib import Path
from typing import Any

from django.core.management.base import CommandParser

from kits.fit import FitError
from kits.management.commands._desk import DeskCommand
from kits.reckoning import Draws, Sheet, chain_sheet, read_chain, whole_number
from kits.reckoning.chain_file import HOW

_LARGEST_FILE = 200_000


class Command(DeskCommand):
    help = (
        "A dimension chain: worst case, RSS, simulation, shares, the verdict, and for an open link the size "
        "it needs and what the shelf has for it."
    )
    examples = f"a file to begin with (TOML; a number alone is in mm):\n\n{HOW}"

    def add_arguments(self, parser: CommandParser) -> None:
        """The file, and how it is simulated."""
        parser.add_argument("file", help="A TOML file, as shown below.")
        parser.add_argument("--draws", default="100000", help="How many assemblies to simulate (100000).")
        parser.add_argument("--seed", default="1", help="The same seed gives the same figures (1).")
        parser.add_argument(
            "--distribution",
            default="normal",
            help="How parts vary: normal (centred, three deviations to either end of the band) or uniform.",
        )
        super().add_arguments(parser)

    def reckon(self, options: dict[str, Any]) -> Sheet:
        """Read, simulate, judge."""
        draws = Draws(
            whole_number(options["draws"], "--draws"),
            whole_number(options["seed"], "--seed"),
            options["distribution"],
        )
        return chain_sheet(read_chain(_text(Path(options["file"]))), draws)


def _text(path: Path) -> str:
    try:
        with path.open("rb") as file:
            content = file.read(_LARGEST_FILE + 1)
    except OSError as error:
        reason = error.strerror or "it is not there"
        raise FitError(f"{path} cannot be read ({reason}); give a TOML file, as --help shows") from error
    if len(content) > _LARGEST_FILE:
        raise FitError(f"{path} is larger than {_LARGEST_FILE:,} bytes, which no chain needs; is it the one?")
    try:
        return content.decode()
    except UnicodeDecodeError as error:
        raise FitError(f"{path} is not UTF-8 text; save it as that from a text editor") from error
