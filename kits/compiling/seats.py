"""What may fill the slots of a check, in classes: fillings that are alike to the check are one class."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from kits.conversion import CheckRead, Conversion, Filling
from kits.fit import Band, Term
from kits.terms import term_for

Fillings = Mapping[int, Mapping[str, Filling]]  # by slot id, then by key


@dataclass(frozen=True)
class Seat:
    """One class of a slot's fillings: their keys, and the terms that they give the check.

    `terms` is by the place of the term in the check; a slot that is left out gives none.
    """

    keys: tuple[str, ...]
    terms: Mapping[int, Term]

    def worked(self, feature: str, target: Band) -> Seat:
        """The same with a feature worked to its target; a worked part is not worked again."""
        terms = {
            place: replace(term, measured=replace(term.measured, value=target))
            if term.measured.name == feature
            else term
            for place, term in self.terms.items()
        }
        return Seat(self.keys, terms)

    def unworkable(self) -> Seat:
        """The same, as it is judged when shop works are settled already."""
        return Seat(self.keys, {place: replace(term, works=()) for place, term in self.terms.items()})


def seats_of(
    conversion: Conversion, check: CheckRead, fillings: Fillings
) -> tuple[dict[int, Term], dict[int, list[Seat]]]:
    """The engine's terms of a check, and the classes of every slot that it touches by slot id."""
    engine: dict[int, Term] = {}
    places: dict[int, list[int]] = {slot_id: [] for slot_id in check.slot_ids}
    for place, term in enumerate(check.terms):
        if term.slot_id is not None:
            places[term.slot_id].append(place)
        elif (found := term_for(conversion, term, {})) is not None:
            engine[place] = found
    return engine, {
        slot_id: list(_classes(conversion, check, slot_id, of_slot, fillings[slot_id]))
        for slot_id, of_slot in places.items()
    }


def _classes(
    conversion: Conversion,
    check: CheckRead,
    slot_id: int,
    places: Sequence[int],
    fillings: Mapping[str, Filling],
) -> Iterator[Seat]:
    alike: dict[tuple[Any, ...], list[str]] = {}
    terms: dict[tuple[Any, ...], dict[int, Term]] = {}
    for key, filling in fillings.items():
        made = {
            place: term
            for place in places
            if (term := term_for(conversion, check.terms[place], {slot_id: filling})) is not None
        }
        said = tuple((place, _said(term)) for place, term in made.items())
        alike.setdefault(said, []).append(key)
        terms.setdefault(said, made)
    for said, keys in alike.items():
        yield Seat(tuple(keys), terms[said])


def _said(term: Term) -> tuple[Any, ...]:
    """What judging a term depends on; whose it is only tells which part to work or measure."""
    return term.sign, term.measured.value, term.factor, term.works, term.role
