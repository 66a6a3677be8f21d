"""All combinations of the classes of one check, judged at once.

A kind whose limits of length do not depend on lengths is asked once for every combination of its
designations; the sums of lengths are then compared with its limits for all combinations together.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import product
from math import lcm
from typing import Any

import numpy as np
from numpy.typing import NDArray

from kits.compiling.seats import Seat
from kits.conversion import CheckRead
from kits.fit import Band, Finding, Job, Question, Term, Verdict, ask, kind_of

Outcomes = NDArray[np.int8]
GOES, WORK, MEASURE, NO = range(4)  # as the ranks of the verdicts
_FAR = 2**62


@dataclass(frozen=True, eq=False)
class Judged:
    """The outcome of every combination, an axis for each slot; and the works of those that need some."""

    outcomes: Outcomes
    jobs: Mapping[tuple[int, ...], tuple[Job, ...]]


class Judge:
    """Judges combinations of seats of one check."""

    def __init__(self, check: CheckRead, engine: Mapping[int, Term], seats: Sequence[Sequence[Seat]]) -> None:
        self.check, self.engine, self.seats = check, engine, seats
        self.kind = kind_of(check.kind)
        self.outcomes: Outcomes = np.zeros([len(one) for one in seats], np.int8)
        self.jobs: dict[tuple[int, ...], tuple[Job, ...]] = {}

    def judged(self) -> Judged:
        """Every combination: at once where that can be, else one by one."""
        if not self.kind.fixed_limits:
            for places in np.ndindex(*self.outcomes.shape):
                self._ask(places)
            return Judged(self.outcomes, self.jobs)
        for groups in self._patterns():
            self._all_alike(groups)
        return Judged(self.outcomes, self.jobs)

    def _patterns(self) -> Iterator[list[list[int]]]:
        """Combinations of groups of seats that differ in known lengths only."""
        groups = []
        for seats in self.seats:
            alike: dict[tuple[Any, ...], list[int]] = {}
            for number, seat in enumerate(seats):
                said = tuple((p, _but_for_length(t)) for p, t in sorted(seat.terms.items()))
                alike.setdefault(said, []).append(number)
            groups.append(list(alike.values()))
        yield from map(list, product(*groups))

    def _all_alike(self, groups: Sequence[Sequence[int]]) -> None:
        """Judge all combinations of seats that differ in lengths only, by one question."""
        terms = self._terms([group[0] for group in groups])
        found = ask(self._question(terms))
        block = np.ix_(*groups) if groups else ()
        outcomes = np.zeros([len(group) for group in groups], np.int8)
        suspects = np.zeros(outcomes.shape, np.bool_)
        for finding in found:
            if finding.wanted is None or finding.result is None:
                np.maximum(outcomes, finding.verdict.rank, out=outcomes)
            else:
                one, workable = self._sums(finding, terms, groups)
                np.maximum(outcomes, one, out=outcomes)
                suspects |= workable
        self.outcomes[block] = outcomes
        # Outside, but within reach of a shop work as far as can be seen at once: asked one by one.
        for place in np.argwhere(suspects):
            self._ask(tuple(group[i] for group, i in zip(groups, place, strict=True)))

    def _sums(
        self, finding: Finding, terms: Mapping[int, Term], groups: Sequence[Sequence[int]]
    ) -> tuple[Outcomes, NDArray[np.bool_]]:
        """One finding for all combinations: the outcomes, and where a shop work may reach."""
        assert finding.wanted is not None
        place_of = {id(term.measured): place for place, term in terms.items()}
        scale = lcm(*(_denominator(term) for term in finding.terms))
        low = high = np.zeros([1] * len(groups), np.int64)
        reach = np.zeros([1] * len(groups), np.int64)
        for term in finding.terms:
            lows, highs, works = self._ends(term, place_of[id(term.measured)], groups, scale)
            low, high, reach = low + lows, high + highs, np.maximum(reach, works)
        least, most = finding.wanted.at_least, finding.wanted.at_most
        lo = -_FAR if least is None else least.units * scale
        hi = _FAR if most is None else most.units * scale
        inside = (low >= lo) & (high <= hi)
        across = (low <= hi) & (high >= lo)
        outcomes = np.where(inside, GOES, np.where(across, MEASURE, NO)).astype(np.int8)
        miss = np.maximum(low - hi, lo - high)
        near = (outcomes == NO) & (reach > 0) & (miss <= reach)
        shape = [len(group) for group in groups]
        return np.broadcast_to(outcomes, shape), np.broadcast_to(near, shape)

    def _ends(
        self, asked: Term, place: int, groups: Sequence[Sequence[int]], scale: int
    ) -> tuple[NDArray[np.int64], NDArray[np.int64], NDArray[np.int64]]:
        """A term's lowest and highest share of the sum, and how far works can move it, along its axis."""
        axis = next((i for i, seats in enumerate(self.seats) if place in seats[groups[i][0]].terms), None)
        terms = (
            [self.engine[place]]
            if axis is None
            else [self.seats[axis][number].terms[place] for number in groups[axis]]
        )
        times = asked.sign * int(asked.factor * scale)
        rows = []
        for term in terms:
            band = term.measured.band
            assert isinstance(band, Band)
            ends = sorted((band.lo.units * times, band.hi.units * times))
            far = max((abs(times) * work.most.units for work in term.works), default=0)
            rows.append((*ends, far + ends[1] - ends[0] if far else 0))
        shape = [1] * len(groups)
        if axis is not None:
            shape[axis] = len(terms)
        lows, highs, works = (np.array(column, np.int64).reshape(shape) for column in zip(*rows, strict=True))
        return lows, highs, works

    def _ask(self, places: tuple[int, ...]) -> None:
        """Judge one combination by itself, with its works."""
        found = ask(self._question(self._terms(places)))
        verdict = max((finding.verdict.rank for finding in found), default=GOES)
        self.outcomes[places] = verdict
        jobs = tuple(finding.job for finding in found if finding.job is not None)
        if jobs and verdict < Verdict.DOES_NOT_GO.rank:
            self.jobs[places] = jobs

    def _terms(self, places: Sequence[int]) -> dict[int, Term]:
        chosen = [seats[place] for seats, place in zip(self.seats, places, strict=True)]
        terms = dict(self.engine)
        for seat in chosen:
            terms |= seat.terms
        return terms

    def _question(self, terms: Mapping[int, Term]) -> Question:
        check = self.check
        ordered = tuple(terms[place] for place in sorted(terms))
        return Question(self.kind, check.code, check.name, ordered, check.wanted, check.settings)


def _but_for_length(term: Term) -> tuple[Any, ...]:
    value = "a length" if term.measured.band is not None else term.measured.value
    return term.sign, value, term.factor, term.role


def _denominator(term: Term) -> int:
    return int(getattr(term.factor, "denominator", 1))
