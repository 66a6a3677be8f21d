"""What of a part's past somebody asks to see, as it was typed; nonsense is left aside."""

from __future__ import annotations

from typing import Final

from django.http import QueryDict
from django.utils.http import urlencode

from .sorts import Every, Shown

BACK: Final = {"12": "a year", "24": "two years", "36": "three years", "60": "five years"}
SWITCHES: Final = {
    "lost": "what was asked for and not had",
    "one-offs": "one-off orders",
    "stand-ins": "what went out as a stand-in",
}


def shown_by(typed: QueryDict) -> Shown:
    """Two years by months with all of it, unless something else was asked for."""
    without = set(typed.getlist("without"))
    every: Every = "week" if typed.get("every") == "week" else "month"
    back = typed.get("back", "")
    return Shown(
        every=every,
        back=int(back) if back in BACK else 24,
        lost="lost" not in without,
        one_offs="one-offs" not in without,
        stand_ins="stand-ins" not in without,
    )


def as_asked(shown: Shown) -> str:
    """The same as it stands in an address, empty where nothing else than usual was asked for."""
    default = Shown()
    asked: list[tuple[str, str]] = []
    if shown.every != default.every:
        asked.append(("every", shown.every))
    if shown.back != default.back:
        asked.append(("back", str(shown.back)))
    asked += [("without", code) for code, is_in in switches_of(shown).items() if not is_in]
    return urlencode(asked)


def switches_of(shown: Shown) -> dict[str, bool]:
    return {"lost": shown.lost, "one-offs": shown.one_offs, "stand-ins": shown.stand_ins}
