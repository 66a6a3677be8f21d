"""`manage.py press '60 H7' '60 s6' ...`: a press or shrink fit."""

from collections.abc import Iterator
from typing import Any

from django.core.management.base import CommandParser

from kits.fit import kind_of
from kits.management.commands._desk import DeskCommand
from kits.reckoning import Joint, Sheet, length, press_sheet, size, with_unit


class Command(DeskCommand):
    help = "A press fit: pressure, stresses against yield, what it holds, and the temperature to assemble."
    examples = """examples:
  press '60 H7' '60 s6' --hub-outside 110 --length 60 --hub steel --shaft steel --torque 400
  press '40 H7' '40 s6' --hub-outside 70 --shaft-bore 20 --length 30 --hub aluminium --hub-yield 240
"""

    def add_arguments(self, parser: CommandParser) -> None:
        """Sizes, materials, loads; lengths are mm where no unit stands."""
        add = parser.add_argument
        add("bore", help="The hub's bore: '60 H7', '60.00 +0.03/-0.00 mm'.")
        add("shaft_size", metavar="shaft", help="The shaft: '60 s6'.")
        add("--hub-outside", required=True, help="The hub's outside diameter, in mm where no unit stands.")
        add("--length", required=True, help="The length engaged.")
        add("--shaft-bore", default="0", help="The bore of a hollow shaft (solid).")
        add("--hub", default="steel", help="The hub's material: steel, 'cast iron', aluminium... (steel).")
        add("--shaft", default="steel", help="The shaft's material (steel).")
        add("--roughness", nargs=2, metavar=("HUB", "SHAFT"), help="Rz of both surfaces, as in '6.3 um'.")
        for setting in kind_of("press").settings:
            default = f" ({setting.default})" if setting.default else ""
            add(f"--{setting.code}", help=f"The {setting.name}{default}.".replace("%", "%%"))
        super().add_arguments(parser)

    def reckon(self, options: dict[str, Any]) -> Sheet:
        """Read everything, then press."""
        rough = options["roughness"]
        joint = Joint(
            options["bore"],
            options["shaft_size"],
            size(options["hub_outside"]),
            size(options["shaft_bore"]),
            size(options["length"]),
            options["hub"],
            options["shaft"],
            None if rough is None else (length(rough[0]), length(rough[1])),
            tuple((code, text) for code, text in _settings(options) if text is not None),
        )
        return press_sheet(joint)


def _settings(options: dict[str, Any]) -> Iterator[tuple[str, str | None]]:
    """The options that are settings of the press check, under the same names."""
    for setting in kind_of("press").settings:
        text = options[setting.code.replace("-", "_")]
        yield setting.code, with_unit(text) if setting.code == "clearance" and text is not None else text
