"""The open link of a check: which size of the open slot makes it right, and what on the shelf has it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from kits.choices import Choice, choices_for
from kits.conversion import PARTS, CheckRead, Conversion, TermRead
from kits.fit import Band, FitError, Job, Term, reach, size_for
from kits.terms import of_parts, plain


class OpenLinks:
    """Advice on the open slots of one conversion; what may fill a slot is looked up once."""

    def __init__(self, conversion: Conversion) -> None:
        self.conversion = conversion
        self._choices: dict[int, Mapping[str, Choice]] = {}
        self._told: dict[tuple[TermRead, Band], str] = {}

    def advice(self, check: CheckRead, term: TermRead, others: Sequence[Term]) -> str:
        """Which size the open slot needs beside `others`, and which candidates have it; '' if unknown."""
        if term.slot_id is None or check.wanted is None:
            return ""
        name = self.conversion.slot_by_id[term.slot_id].name
        try:
            size = size_for(others, term.sign, check.wanted, plain(term.factor))
        except FitError:  # Something else is unknown; the finding says what to measure.
            return ""
        if size is None:
            return f"No size of {name} makes it right while the other parts are as they are."
        if (term, size) not in self._told:
            self._told[term, size] = self._on_offer(term, size)
        on_offer = self._told[term, size]
        return f"With {name} {term.feature} {size.format(rounding='in')} it goes together; {on_offer}."

    def _on_offer(self, term: TermRead, size: Band) -> str:
        """What of the list lies wholly within the size, or what a shop work brings there."""
        found = [(choice, asked) for choice in self._of(term) if (asked := self._term(term, choice))]
        having = [c for c, asked in found if asked.measured.band is not None and asked.measured.band in size]
        if having:
            having.sort(key=lambda choice: not self._is_there(choice))
            return f"in the list: {', '.join(map(self._shelved, having))}"
        jobs = [(job, choice) for choice, asked in found if (job := reach(asked, size))]
        if not jobs:
            return "none in the list has that, and no shop work brings one there"
        job, choice = min(jobs, key=lambda one: (not self._is_there(one[1]), *_effort(one[0])))
        verb = "taken off" if job.work.lowers else "opened"
        return (
            f"none in the list has that, but {self._shelved(choice)} does with up to "
            f"{job.amount.format(rounding='up')} {verb} ({job.work.name.lower()}, {job.work.done_by})"
        )

    def _of(self, term: TermRead) -> list[Choice]:
        assert term.slot_id is not None
        if term.slot_id not in self._choices:
            slot = self.conversion.slot_by_id[term.slot_id]
            self._choices[term.slot_id] = choices_for(self.conversion, slot)
        return [choice for choice in self._choices[term.slot_id].values() if choice.filling.how == PARTS]

    def _term(self, term: TermRead, choice: Choice) -> Term:
        assert term.slot_id is not None
        slot = self.conversion.slot_by_id[term.slot_id]
        measured, works = of_parts(self.conversion, slot, choice.filling, term)
        return Term(term.sign, measured, plain(term.factor), works, term.role)

    def _is_there(self, choice: Choice) -> bool:
        parts = self.conversion.parts
        return all(parts[part_id].on_hand >= quantity for part_id, quantity in choice.filling.parts)

    def _shelved(self, choice: Choice) -> str:
        return choice.label if self._is_there(choice) else f"{choice.label} (not on the shelf)"


def _effort(job: Job) -> tuple[object, ...]:
    return job.work.price, job.work.minutes, job.amount
