"""What each slot of a kit could be filled with, and what every swap would do to fit, price and date."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import TYPE_CHECKING

from kits.choices import Choice, with_current
from kits.conversion import EMPTY, PARTS, SlotRead
from kits.fit import Job, Verdict
from kits.judging import part_notes
from kits.models import CustomKit
from kits.pricing import slot_price, works_price
from kits.reading import read_kit
from kits.shelf import Stock
from kits.whatif import WhatIf

if TYPE_CHECKING:
    from kits.whole_kits import WholeKits


@dataclass(frozen=True)
class Option:
    """One way to fill a slot. `parts` are (id, quantity for the whole kit).

    `price_difference` is the whole kit's price with it minus the price now, shop work and price
    agreements included. `free` is how many of it could ship today, None where nothing ships.
    """

    key: str
    label: str
    how: str
    parts: tuple[tuple[int, int], ...]
    verdict: Verdict
    reasons: tuple[str, ...]
    price_difference: Decimal
    agreement: str
    free: int | None
    ready_on: date | None
    is_current: bool
    is_default: bool
    superseded_by: str


@dataclass(frozen=True)
class SlotOptions:
    code: str
    name: str
    required: bool
    quantity: int
    never_reuse: str
    current: str
    offered: int
    options: tuple[Option, ...]


def slot_options(
    kit: CustomKit, now: datetime, *, beside: WholeKits | None = None, only: str | None = None
) -> list[SlotOptions]:
    """The options of every slot, in the order of the slots.

    With `only` those of that slot, and of every other slot what fills it; `offered` counts them all.
    What was read for the whole kits of the same kit need not be read again.

    An option's verdict is that of the whole kit with it, limited to the checks and rules that touch
    the slot, and to checks that its shop work would spoil: what is wrong elsewhere in the kit is said
    of the kit, not of every option.
    """
    if beside is not None:
        whatif, choices, stock = beside.whatif, beside.choices, beside.stock
    else:
        whatif = WhatIf(*read_kit(kit))
        choices = {
            slot.id: with_current(whatif.conversion, slot, whatif.fills) for slot in whatif.conversion.slots
        }
        stock = Stock([c for of_slot in choices.values() for c in of_slot.values()], now)
    return [
        _of_slot(whatif, slot, choices[slot.id], stock, only is None or slot.code == only)
        for slot in whatif.conversion.slots
    ]


def _of_slot(
    whatif: WhatIf, slot: SlotRead, choices: Mapping[str, Choice], stock: Stock, every: bool
) -> SlotOptions:
    current = choices[whatif.fills.get(slot.id, EMPTY).key]
    before = _price(whatif, slot, current, whatif.now.jobs)
    told = choices.values() if every else [current]
    return SlotOptions(
        slot.code,
        slot.name,
        slot.required,
        slot.quantity,
        slot.never_reuse,
        current.key,
        len(choices),
        tuple(_option(whatif, slot, choice, choice is current, before, stock) for choice in told),
    )


def _price(whatif: WhatIf, slot: SlotRead, choice: Choice, jobs: Iterable[Job]) -> Decimal:
    """The part of the kit's price that a swap of this slot changes."""
    return slot_price(whatif.conversion, slot, choice.filling, choice) + works_price(jobs)


def _option(
    whatif: WhatIf, slot: SlotRead, choice: Choice, is_current: bool, before: Decimal, stock: Stock
) -> Option:
    conversion = whatif.conversion
    then = whatif.swapped(slot, choice.filling)
    superseded = (conversion.parts[p].superseded_by for p, _ in choice.filling.parts)
    return Option(
        key=choice.key,
        label=choice.label,
        how=choice.filling.how,
        parts=choice.filling.parts,
        verdict=then.verdict,
        reasons=(*then.reasons, *part_notes(conversion, choice.filling)),
        price_difference=_price(whatif, slot, choice, then.jobs) - before,
        agreement=agreement(choice),
        free=stock.free(choice),
        ready_on=stock.ready_on(choice),
        is_current=is_current,
        is_default=choice.is_default,
        superseded_by=", ".join(name for name in superseded if name),
    )


def agreement(choice: Choice) -> str:
    """Who must agree to it; '' where nothing of the shop's is put in."""
    if choice.filling.how != PARTS:
        return ""
    return str(choice.substitution.agreement) if choice.substitution else "nobody"
