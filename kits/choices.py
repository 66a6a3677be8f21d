"""What may fill a slot on an engine: listed candidates, selections by feature, stand-ins, and no part."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from kits.conversion import (
    EMPTY,
    LEFT_OUT,
    OWN,
    PARTS,
    REUSED,
    CandidateRead,
    Conversion,
    Filling,
    Fills,
    SlotRead,
    SubstitutionRead,
    Value,
    default_filling,
    filled_with,
)


@dataclass(frozen=True)
class Choice:
    """One thing that may fill a slot; `from_default`: the substitution stands in for the default."""

    filling: Filling
    label: str
    substitution: SubstitutionRead | None = None
    from_default: bool = False
    is_default: bool = False

    @property
    def key(self) -> str:
        """As in Filling.key."""
        return self.filling.key


def choices_for(conversion: Conversion, slot: SlotRead) -> dict[str, Choice]:
    """By key, in the order to show them: by rank, stand-ins after them, then own, re-used, left out.

    A listed part that also stands in for the default keeps its place and takes the quantity, the
    agreement and the price policy of the substitution.
    """
    found: dict[str, Choice] = {}
    for candidate in slot.candidates:
        listed = [candidate] if candidate.parts else _selected(conversion, candidate)
        for one in listed:
            choice = Choice(
                filled_with(slot, one), one.label or parts_label(conversion, one), None, False, one.is_default
            )
            found.setdefault(choice.key, choice)
    for substitution in slot.substitutions:
        choice = _stand_in(conversion, slot, substitution)
        known = found.get(choice.key)
        if known is None or (not known.is_default and not known.from_default):
            found[choice.key] = choice
    found.update({choice.key: choice for choice in _without_parts(slot)})
    return found


def _selected(conversion: Conversion, candidate: CandidateRead) -> list[CandidateRead]:
    """Every part of the category whose feature lies wholly in the band, or is not known."""
    if candidate.category_id is None:
        return []
    fitting = [
        part
        for part in conversion.parts.values()
        if part.category_id == candidate.category_id and _in_band(part.values, candidate)
    ]
    fitting.sort(key=lambda part: (part.price, part.label))
    return [CandidateRead("", False, None, None, None, None, ((part.id, 1),)) for part in fitting]


def _in_band(values: Mapping[int, Value], candidate: CandidateRead) -> bool:
    if candidate.feature_id is None or candidate.lo is None or candidate.hi is None:
        return True
    value = values.get(candidate.feature_id)
    if value is None or value.lo is None or value.hi is None:
        return True  # Unknown: offered, and judged as measure first.
    return candidate.lo <= value.lo and value.hi <= candidate.hi


def _stand_in(conversion: Conversion, slot: SlotRead, substitution: SubstitutionRead) -> Choice:
    """The candidate that holds the standard part, with that part replaced at the stated ratio."""
    default = default_filling(slot)
    from_default = default is not None and substitution.standard in dict(default.parts)
    bases = [default] if default is not None and from_default else []
    bases += [filled_with(slot, c) for c in slot.candidates if substitution.standard in dict(c.parts)]
    base = bases[0] if bases else Filling(PARTS, ((substitution.standard, slot.quantity),))
    quantities = dict(base.parts)
    standard = quantities.pop(substitution.standard)
    # Rounded up: half a part cannot be shipped.
    quantity = -(-standard * substitution.takes // substitution.replaces)
    quantities[substitution.stand_in] = quantities.get(substitution.stand_in, 0) + quantity
    filling = Filling(PARTS, tuple(sorted(quantities.items())))
    return Choice(filling, filling_label(conversion, slot, filling), substitution, from_default)


def _without_parts(slot: SlotRead) -> list[Choice]:
    choices = []
    if slot.own_allowed:
        choices.append(Choice(Filling(OWN), "customer's own"))
    if slot.reuse_allowed:
        choices.append(Choice(Filling(REUSED), "re-used from the engine"))
    if not slot.required:
        default = default_filling(slot)
        choices.append(Choice(Filling(LEFT_OUT), "left out", is_default=default is None))
    return choices


def parts_label(conversion: Conversion, candidate: CandidateRead) -> str:
    """'Corran CP-104 pump pulley', several parts joined by '+'."""
    return " + ".join(conversion.parts[part_id].label for part_id, _ in candidate.parts)


def filling_label(conversion: Conversion, slot: SlotRead, filling: Filling) -> str:
    """What fills a slot, in words."""
    if filling.how == PARTS:
        return " + ".join(conversion.parts[part_id].label for part_id, _ in filling.parts)
    words = {OWN: f"customer's own {slot.name}", REUSED: "re-used from the engine", LEFT_OUT: "left out"}
    return words[filling.how]


def with_current(conversion: Conversion, slot: SlotRead, fills: Fills) -> dict[str, Choice]:
    """What may fill the slot, and what does, even if it is not offered any more.

    The current filling itself stands in for its equal: it knows the sizes of the customer's own part.
    """
    choices, current = choices_for(conversion, slot), fills.get(slot.id, EMPTY)
    known = choices.get(current.key)
    if known is None:
        choices[current.key] = Choice(current, filling_label(conversion, slot, current))
    else:
        choices[current.key] = Choice(
            current, known.label, known.substitution, known.from_default, known.is_default
        )
    return choices
