"""Old stack less new stack is what the open slot has to make up, on every engine of every conversion.

The stacks are added up here, in whole units of 10 nm, from the features as they are stored.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import pytest

from kits.choices import Choice, choices_for
from kits.conversion import PARTS, CheckRead, Conversion, Fills
from kits.evaluating import Evaluator
from kits.fit import Finding, Verdict, size_for
from kits.models import Check, CheckTerm, EngineFeature, PartFeature, TemplateRevision
from tests.shop.demo.benching import conversion_of, slot_named

pytestmark = pytest.mark.usefixtures("shop")

Ends = tuple[int, int]
OPEN = {"belt-front": "nose-gap", "raw-water-aside": "drive-gap", "flexible-drive": "end-float"}
RELEASED = {
    "belt-front": ["HED-11", "HED-12", "HED-13", "BOD-20", "BOD-21", "BOD-22", "BOD-23", "BOD-24"],
    "raw-water-aside": ["HED-10", "HED-11", "HED-12", "HED-13", "BOD-20", "BOD-21", "BOD-22", "BOD-23"],
    "flexible-drive": [
        "HED-12", "HED-13", "BOD-20", "BOD-21", "BOD-22", "BOD-23", "BOD-24", "FET-30", "FET-31", "FET-32",
    ],
}  # fmt: skip
EVERY = [(template, engine) for template, engines in RELEASED.items() for engine in engines]


@dataclass
class Bench:
    """One check with an open slot, of one conversion on one engine."""

    conversion: Conversion
    engine: str
    check: Check
    evaluator: Evaluator

    @property
    def read(self) -> CheckRead:
        return next(read for read in self.conversion.checks if read.code == self.check.code)

    @property
    def open_term(self) -> CheckTerm:
        return self.check.terms.get(slot=self.check.open_slot)

    def stack(self, fills: Fills) -> Ends:
        """Lowest and highest sum of all but the open slot."""
        low = high = 0
        for term in self.check.terms.exclude(pk=self.open_term.pk):
            lo, hi = self._stored(term, fills)
            assert (term.times, term.over) == (1, 1)
            low, high = (low + lo, high + hi) if term.sign > 0 else (low - hi, high - lo)
        return low, high

    def needed(self, stack: Ends) -> Ends:
        """From the thinnest to the thickest that leaves what is wanted, whatever the stack is."""
        least, most = self.check.at_least, self.check.at_most
        assert least is not None and most is not None
        low, high = stack
        return (least - low, most - high) if self.open_term.sign > 0 else (high - most, low - least)

    def found(self, fills: Fills) -> Finding:
        (finding,) = self.evaluator.of_check(self.read, fills)
        return finding

    def core(self, fills: Fills) -> Ends | None:
        """The size that the core asks for."""
        finding, place = self.found(fills), self.open_term.sequence - 1
        assert finding.wanted is not None
        others = [term for index, term in enumerate(finding.terms) if index != place]
        size = size_for(others, self.open_term.sign, finding.wanted)
        return None if size is None else (size.lo.units, size.hi.units)

    def on_offer(self) -> dict[Choice, Ends]:
        """What may fill the open slot, with its size as stored."""
        assert self.check.open_slot is not None
        slot = slot_named(self.conversion, self.check.open_slot.code)
        choices = [c for c in choices_for(self.conversion, slot).values() if c.filling.how == PARTS]
        return {choice: self._stored(self.open_term, {slot.id: choice.filling}) for choice in choices}

    def swaps(self) -> Iterator[Fills]:
        """The standard kit with one other part of the stack at a time, of which the size is known."""
        for term in self.check.terms.exclude(pk=self.open_term.pk).exclude(slot=None):
            assert term.slot is not None
            slot = slot_named(self.conversion, term.slot.code)
            for choice in choices_for(self.conversion, slot).values():
                fills = {**self.conversion.default_fills(), slot.id: choice.filling}
                if choice.filling.how == PARTS and self._row(term, fills).lo is not None:
                    yield fills

    def _stored(self, term: CheckTerm, fills: Fills) -> Ends:
        row = self._row(term, fills)
        assert row.lo is not None and row.hi is not None
        return row.lo, row.hi

    def _row(self, term: CheckTerm, fills: Fills) -> EngineFeature | PartFeature:
        if term.slot_id is None:
            return EngineFeature.objects.get(engine__code=self.engine, kind=term.feature)
        (part_id,) = (pk for pk, _ in fills[term.slot_id].parts)
        return PartFeature.objects.get(part=part_id, kind=term.feature)


@pytest.fixture
def bench(template: str, engine: str, shop: object) -> Bench:
    conversion = conversion_of(template, engine)
    check = Check.objects.get(revision__template__code=template, code=OPEN[template])
    return Bench(conversion, engine, check, Evaluator(conversion))


def test_every_open_slot_and_every_engine_is_looked_at() -> None:
    revisions = TemplateRevision.objects.select_related("template")
    released = [(r.template.code, engine.code) for r in revisions for engine in r.engines.all()]
    assert sorted(released) == sorted(EVERY)
    opened = Check.objects.exclude(open_slot=None).values_list("revision__template__code", "code")
    assert dict(opened) == OPEN


@pytest.mark.parametrize(("template", "engine"), EVERY)
def test_old_stack_less_new_stack_is_what_the_spacer_makes_up(bench: Bench) -> None:
    standard = bench.conversion.default_fills()
    old, old_size = bench.stack(standard), bench.core(standard)
    assert old_size is not None
    assert old_size == bench.needed(old)
    sign, moved = bench.open_term.sign, 0
    for fills in bench.swaps():
        new, new_size = bench.stack(fills), bench.core(fills)
        assert new_size is not None
        assert new_size == bench.needed(new)
        # A spacer that takes from the result has its thinnest end where the stack has its highest.
        pairs = list(zip(old, new, strict=True))[::sign]
        for before, after, (was, becomes) in zip(old_size, new_size, pairs, strict=True):
            assert after - before == sign * (was - becomes)
        moved += new != old
    assert moved >= 1


@pytest.mark.parametrize(("template", "engine"), EVERY)
def test_the_spacers_that_are_advised_are_those_that_make_it_go_together(bench: Bench) -> None:
    advised = 0
    for fills in bench.swaps():
        least, most = bench.needed(bench.stack(fills))
        right = {choice for choice, (lo, hi) in bench.on_offer().items() if least <= lo and hi <= most}
        assert right == {choice for choice in bench.on_offer() if _goes(bench, fills, choice)}
        standard = bench.found(fills)
        if standard.verdict is not Verdict.GOES_TOGETHER:
            advice = standard.reason.partition(" in the list: ")[2]
            assert {choice.label for choice in bench.on_offer() if choice.label in advice} == {
                choice.label for choice in right
            }
            advised += 1
    assert advised >= 1


def _goes(bench: Bench, fills: Fills, choice: Choice) -> bool:
    slot = bench.open_term.slot_id
    assert slot is not None
    tried = {**fills, slot: choice.filling}
    return bench.found(tried).verdict is Verdict.GOES_TOGETHER
