"""What could stand in a slot of a kit as it is: candidates of the shop's that go with all the rest."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from decimal import Decimal

from kits.choices import Choice, with_current
from kits.conversion import EMPTY, PARTS, SlotRead
from kits.fit import Job, Verdict
from kits.models import CustomKit
from kits.options import agreement
from kits.pricing import slot_price, works_price
from kits.reading import read_kit
from kits.whatif import WhatIf

GOES = (Verdict.GOES_TOGETHER, Verdict.GOES_WITH_WORK)


@dataclass(frozen=True)
class StandIn:
    """One candidate for one slot. `parts` are (id, quantity for the whole kit).

    `minutes` is how much longer the kit's shop works take with it, `price_difference` how much more the kit
    costs; `agreement` is who must agree, as in Option.agreement.
    """

    slot: str
    slot_name: str
    key: str
    label: str
    parts: tuple[tuple[int, int], ...]
    minutes: int
    price_difference: Decimal
    agreement: str


def stand_ins(kit: CustomKit, slot_codes: Collection[str]) -> dict[str, list[StandIn]]:
    """By slot the candidates that go as the kit is filled now, on the dimensions as recorded now.

    A verdict is that of the kit with the candidate, as in kits.options: what has to be measured first
    does not count as going.
    """
    conversion, fills = read_kit(kit)
    whatif = WhatIf(conversion, fills)
    return {slot.code: list(_of_slot(whatif, slot)) for slot in conversion.slots if slot.code in slot_codes}


def _of_slot(whatif: WhatIf, slot: SlotRead) -> Iterator[StandIn]:
    choices = with_current(whatif.conversion, slot, whatif.fills)
    current = choices[whatif.fills.get(slot.id, EMPTY).key]
    before = _cost(whatif, slot, current, whatif.now.jobs)
    for choice in choices.values():
        if choice.filling.how != PARTS or choice.key == current.key:
            continue
        then = whatif.swapped(slot, choice.filling)
        if then.verdict in GOES:
            yield StandIn(
                slot=slot.code,
                slot_name=slot.name,
                key=choice.key,
                label=choice.label,
                parts=choice.filling.parts,
                minutes=_minutes(then.jobs) - _minutes(whatif.now.jobs),
                price_difference=_cost(whatif, slot, choice, then.jobs) - before,
                agreement=agreement(choice),
            )


def _cost(whatif: WhatIf, slot: SlotRead, choice: Choice, jobs: Collection[Job]) -> Decimal:
    return slot_price(whatif.conversion, slot, choice.filling, choice) + works_price(jobs)


def _minutes(jobs: Collection[Job]) -> int:
    return sum(max(1, job.work.minutes) for job in jobs)
