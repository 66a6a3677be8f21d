"""A conversion as a network for the solver: what may fill each slot, and what checks and rules leave.

The variables are the slots, by code, with the keys of their fillings; and, beside them, what follows
from those: for each check the class that a slot's filling is in, the shop works that it asks for, the
one that is done on a feature (of several the one that takes most), and whether something has to be
measured first. So a whole answer of the network is a kit that `judge_fills` finds to go together, to go
with work, or to be measured first, at the same price. Parts' prices are costs and come with each question.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from itertools import product
from typing import Final

import numpy as np

from kits.compiling.judging import MEASURE, NO, WORK, Judge, Judged
from kits.compiling.seats import Fillings, Seat, seats_of
from kits.compiling.works import Asked, Done, asked_of, settle
from kits.conversion import CheckRead, Conversion, RuleRead
from kits.fit import Term, Verdict
from kits.ruling import NOTE, rule_finding
from kits.solver import Cost, Network, Table

UNSURE: Final = 10**11
"""What having to measure something first costs, in cents: more than any kit, so that it stands out."""
_SURE, _MEASURE = "", "measure first"
_Row = tuple[tuple[str, ...], bool]


@dataclass(frozen=True)
class Drafted:
    """The network; what its values cost beside the parts, in cents: works, UNSURE; the works' minutes."""

    network: Network
    costs: Mapping[Cost, int]
    minutes: Mapping[Cost, int]


@dataclass
class _Draft:
    variables: dict[str, tuple[str, ...]]
    tables: list[Table] = field(default_factory=list)
    costs: dict[Cost, int] = field(default_factory=dict)
    minutes: dict[Cost, int] = field(default_factory=dict)

    def follow(self, name: str, values: tuple[str, ...]) -> str:
        """Add a variable that follows from others."""
        self.variables[name] = values
        return name

    def limit(self, scope: tuple[str, ...], rows: list[_Row], name: str, why: str) -> None:
        """What is allowed, each row with whether it is to be measured first.

        Without a scope nothing but the engine decides: then every kit is measured first, or none is there.
        """
        if any(unsure for _, unsure in rows):
            variable = self.follow(f"{name}: sure", (_SURE, _MEASURE))
            self.costs[variable, _MEASURE] = UNSURE
            marked = [(*row, _MEASURE if unsure else _SURE) for row, unsure in rows]
            self.tables.append(Table((*scope, variable), marked, reason=why))
        elif scope:
            self.tables.append(Table(scope, [row for row, _ in rows], reason=why))
        elif not rows:
            first = next(iter(self.variables))
            self.tables.append(Table((first,), (), reason=why))


@dataclass(frozen=True)
class _Checked:
    """A check with the classes of its slots, and what judging their combinations gave."""

    check: CheckRead
    engine: Mapping[int, Term]
    seats: Mapping[int, list[Seat]]
    judged: Judged
    scope: tuple[str, ...]


def network_of(conversion: Conversion, fillings: Fillings) -> Drafted:
    """Every check and rule that says something about the fillings, by slot id and key."""
    draft = _Draft({slot.code: tuple(fillings[slot.id]) for slot in conversion.slots})
    checked = [_checked(draft, conversion, check, fillings) for check in conversion.checks]
    wishes = [wish for one in checked if (wish := _before(draft, one)) is not None]
    codes = {slot.id: slot.code for slot in conversion.slots}
    done = settle(wishes, codes, draft.follow, draft.tables, draft.costs, draft.minutes)
    for one in checked:
        _after(draft, one, done)
    for rule in conversion.rules:
        if rule.kind != NOTE:
            _ruled(draft, conversion, rule, fillings)
    for slot in conversion.slots:
        if slot.required and "left-out" in fillings[slot.id]:
            why = f"{slot.name} must be filled: choose one of its candidates."
            draft.tables.append(Table((slot.code,), [("left-out",)], allowed=False, reason=why))
    return Drafted(Network(draft.variables, draft.tables), draft.costs, draft.minutes)


def _checked(draft: _Draft, conversion: Conversion, check: CheckRead, fillings: Fillings) -> _Checked:
    engine, seats = seats_of(conversion, check, fillings)
    scope = []
    for slot_id, classes in seats.items():
        code = conversion.slot_by_id[slot_id].code
        variable = draft.follow(f"{check.code}: {code}", tuple(map(str, range(len(classes)))))
        rows = [(key, str(number)) for number, seat in enumerate(classes) for key in seat.keys]
        draft.tables.append(Table((code, variable), rows))
        scope.append(variable)
    judged = Judge(check, engine, list(seats.values())).judged()
    return _Checked(check, engine, seats, judged, tuple(scope))


def _before(draft: _Draft, one: _Checked) -> tuple[str, Mapping[str, Asked]] | None:
    """What the check says of parts as they are; and the variable that says which works it asks for."""
    slots = list(one.seats)
    asked: dict[str, Asked] = {"": {}}
    wish: dict[tuple[int, ...], str] = {}
    for places, jobs in one.judged.jobs.items():
        chosen = {s: one.seats[s][place] for s, place in zip(slots, places, strict=True)}
        wanted = asked_of(jobs, chosen)
        wish[places] = " and ".join(worked.key for worked in wanted.values())
        asked[wish[places]] = wanted
    rows = [
        (tuple(map(str, places)) + ((wish.get(places, ""),) if wish else ()), outcome == MEASURE)
        for places, outcome in _allowed(one.judged)
    ]
    scope = one.scope
    if wish:
        scope = (*scope, draft.follow(f"{one.check.code}: work", tuple(asked)))
    draft.limit(scope, rows, one.check.code, one.check.name)
    return (scope[-1], asked) if wish else None


def _allowed(judged: Judged) -> Iterator[tuple[tuple[int, ...], int]]:
    """The combinations that may be, in their order."""
    for places in np.argwhere(judged.outcomes != NO):
        where = tuple(map(int, places))
        yield where, int(judged.outcomes[where])


def _after(draft: _Draft, one: _Checked, done: Done) -> None:
    """What the check says of parts once the works are done that any check asks for."""
    seats: list[list[Seat]] = []
    scope: list[str] = []
    touched = False
    for (slot_id, classes), variable in zip(one.seats.items(), one.scope, strict=True):
        names = {term.measured.name for seat in classes for term in seat.terms.values()}
        features = [f for f in done if f[0] == slot_id and f[1] in names]
        plain = [seat.unworkable() for seat in classes]
        if not features:
            seats.append(plain)
            scope.append(variable)
            continue
        touched = True
        made, worked = _worked_seats(draft, f"{variable} worked", variable, plain, features, done)
        seats.append(made)
        scope.append(worked)
    if touched:
        base = [len(classes) for classes in one.seats.values()]
        judged = Judge(one.check, one.engine, seats).judged()
        rows = []
        for places in np.ndindex(*judged.outcomes.shape):
            as_it_is = all(place < count for place, count in zip(places, base, strict=True))
            outcome = judged.outcomes[places]
            if as_it_is or outcome not in (NO, WORK):
                rows.append((tuple(map(str, places)), not as_it_is and outcome == MEASURE))
        why = f"{one.check.name}, with the shop work that the kit needs elsewhere done"
        draft.limit(tuple(scope), rows, f"{one.check.code}, worked", why)


def _worked_seats(
    draft: _Draft, name: str, variable: str, plain: list[Seat], features: list[tuple[int, str]], done: Done
) -> tuple[list[Seat], str]:
    """The classes as they are, then each worked in every way that it may be; and the variable over them."""
    seats = list(plain)
    rows: list[tuple[str, ...]] = []
    ways = [("", *done[feature][1]) for feature in features]
    for number, seat in enumerate(plain):
        for chosen in product(*ways):
            place = number
            if any(chosen):
                worked = seat
                for feature, key in zip(features, chosen, strict=True):
                    if key:
                        worked = worked.worked(feature[1], done[feature][1][key].target)
                place = len(seats)
                seats.append(worked)
            rows.append((str(number), *chosen, str(place)))
    follows = draft.follow(name, tuple(map(str, range(len(seats)))))
    draft.tables.append(Table((variable, *(done[f][0] for f in features), follows), rows))
    return seats, follows


def _ruled(draft: _Draft, conversion: Conversion, rule: RuleRead, fillings: Fillings) -> None:
    slots = [slot for slot in conversion.slots if slot.id in rule.slot_ids]
    rows = []
    for keys in product(*(fillings[slot.id] for slot in slots)):
        fills = {slot.id: fillings[slot.id][key] for slot, key in zip(slots, keys, strict=True)}
        found = rule_finding(conversion, rule, fills)
        if found is None or found.verdict is not Verdict.DOES_NOT_GO:
            rows.append((keys, found is not None and found.verdict is Verdict.MEASURE_FIRST))
    draft.limit(tuple(slot.code for slot in slots), rows, f"rule {rule.code}", rule.text)
