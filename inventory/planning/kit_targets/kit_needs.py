"""How many pieces of each part one kit takes, and which of its parts depend on one another."""

from __future__ import annotations

from typing import TYPE_CHECKING

from .asking import KitDemand, Option, P

if TYPE_CHECKING:
    from .clumps import Floats


def need_chances(kit: KitDemand[P]) -> dict[P, Floats]:
    """For each part of the kit the chances of needing 0, 1, 2... pieces of it, all slots together."""
    import numpy as np

    chances: dict[P, Floats] = {}
    for slot in kit.slots:
        for part in dict.fromkeys(part for option in slot for part in option.parts):
            most = max(option.parts.get(part, 0) for option in slot)
            one = np.zeros(most + 1)
            for option in slot:
                one[option.parts.get(part, 0)] += option.take_rate
            one[0] += max(0.0, 1 - sum(option.take_rate for option in slot))
            chances[part] = np.convolve(chances[part], one) if part in chances else one
    return chances


def tied_slots(kit: KitDemand[P]) -> list[list[list[Option[P]]]]:
    """The slots of a kit, together where they share a part."""
    tied: list[tuple[set[P], list[list[Option[P]]]]] = []
    for slot in kit.slots:
        parts = {part for option in slot for part in option.parts}
        slots = [slot]
        apart = []
        for others, known in tied:
            if others & parts:
                parts |= others
                slots = known + slots
            else:
                apart.append((others, known))
        tied = [*apart, (parts, slots)]
    return [slots for _, slots in tied]


def groups(kit: KitDemand[P]) -> list[list[P]]:
    """The parts of a kit, together where whether one is needed tells something of another."""
    return [
        list(dict.fromkeys(part for slot in slots for option in slot for part in option.parts))
        for slots in tied_slots(kit)
    ]
