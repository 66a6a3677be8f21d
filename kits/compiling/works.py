"""Shop works between checks: each check asks for its own, and of several on one feature the largest is done.

The same as `kits.settling` does for one kit, for all kits at once.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Protocol

from kits.compiling.seats import Seat
from kits.fit import Band, Job
from kits.solver import Cost, Table

Feature = tuple[int, str]  # slot id and name of the feature


@dataclass(frozen=True)
class Worked:
    """One work as it is done: the size that it leaves, and how much it takes off or opens."""

    work: str
    target: Band
    amount: int
    cents: int
    minutes: int

    @property
    def key(self) -> str:
        """How the network calls it; '' is no work."""
        return f"{self.work} to {self.target}"

    @classmethod
    def of(cls, job: Job) -> Worked:
        """What a check asks for."""
        return cls(job.work.code, job.target, job.amount.units, int(job.work.price * 100), job.work.minutes)


Asked = Mapping[Feature, Worked]  # what one combination of one check asks for
Done = Mapping[Feature, tuple[str, Mapping[str, Worked]]]  # by feature: the variable, and its values


class Follow(Protocol):
    def __call__(self, name: str, values: tuple[str, ...]) -> str: ...


def asked_of(jobs: Sequence[Job], seats: Mapping[int, Seat]) -> Asked:
    """Whose feature each job is on; of two jobs on one feature the one that takes more."""
    found: dict[Feature, Worked] = {}
    for job in jobs:
        slot_id = next(
            slot_id
            for slot_id, seat in seats.items()
            for term in seat.terms.values()
            if (term.measured.owner, term.measured.name) == (job.owner, job.feature)
        )
        feature, worked = (slot_id, job.feature), Worked.of(job)
        if feature not in found or found[feature].amount < worked.amount:
            found[feature] = worked
    return found


def settle(
    wishes: Sequence[tuple[str, Mapping[str, Asked]]],
    names: Mapping[int, str],
    follow: Follow,
    tables: list[Table],
    costs: dict[Cost, int],
    minutes: dict[Cost, int],
) -> Done:
    """Which work is done on each feature. `wishes` has for each check the variable that says what it asks
    for, and what each of that variable's values means. Each work's price and time go by its value.
    """
    features = dict.fromkeys(f for _, asked in wishes for one in asked.values() for f in one)
    done: dict[Feature, tuple[str, Mapping[str, Worked]]] = {}
    for feature in features:
        slot_id, name = feature
        so_far: dict[str, Worked] = {}
        variable = ""
        for place, (wish, asked) in enumerate(wishes):
            if not any(feature in one for one in asked.values()):
                continue
            called = f"{names[slot_id]} {name}: work {place}"
            so_far, variable = _larger(called, feature, wish, asked, variable, so_far, follow, tables)
        for key, worked in so_far.items():
            costs[variable, key] = worked.cents
            minutes[variable, key] = worked.minutes
        done[feature] = variable, so_far
    return done


def _larger(
    name: str,
    feature: Feature,
    wish: str,
    asked: Mapping[str, Asked],
    before: str,
    known: Mapping[str, Worked],
    follow: Follow,
    tables: list[Table],
) -> tuple[dict[str, Worked], str]:
    """The variable that says which work is done after one more check has been heard."""
    rows: list[tuple[str, ...]] = []
    found = dict(known)
    for value, one in asked.items():
        new = one.get(feature)
        if new is not None:
            found.setdefault(new.key, new)
        for key in ("", *known) if before else ("",):
            old = known.get(key)
            keeps = new is None or (old is not None and old.amount >= new.amount)
            result = key if keeps or new is None else new.key
            rows.append((key, value, result) if before else (value, result))
    variable = follow(name, ("", *found))
    tables.append(Table((before, wish, variable) if before else (wish, variable), rows))
    return found, variable
