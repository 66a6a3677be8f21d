"""What is free of everything on offer, and from when."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime

from inventory.promising import promise
from kits.choices import Choice
from kits.conversion import PARTS


class Stock:
    """What is free of every part on offer, and from when as many as an option needs."""

    def __init__(self, choices: Iterable[Choice], now: datetime) -> None:
        wants: dict[int, int] = {}
        for choice in choices:
            for part_id, quantity in choice.filling.parts:
                wants[part_id] = max(quantity, wants.get(part_id, 0))
        # One look for all options: a part wanted in different quantities gets the later date.
        self._lines = {line.part_id: line for line in promise(wants, now).lines}

    def free(self, choice: Choice) -> int | None:
        """How many whole fills could ship today."""
        if choice.filling.how != PARTS:
            return None
        return min(max(self._lines[p].free, 0) // quantity for p, quantity in choice.filling.parts)

    def ready_on(self, choice: Choice) -> date | None:
        """The first day on which all its parts are there; None where that is not known."""
        days = [self._lines[part_id].on for part_id, _ in choice.filling.parts]
        known = [day for day in days if day is not None]
        return max(known) if known and len(known) == len(days) else None
