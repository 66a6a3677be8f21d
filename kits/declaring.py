"""What is wrong with the checks of a draft, before any kit is judged by them."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import islice, product

from kits.choices import choices_for
from kits.conversion import CheckRead, Conversion, Filling
from kits.evaluating import Evaluator
from kits.fit import KINDS, Declared, Verdict, problems
from kits.models import Check, CheckTerm, TemplateRevision

# Shop work in a standard kit is priced and planned; a size to be measured first is not.
READY = (Verdict.GOES_TOGETHER, Verdict.GOES_WITH_WORK)
# A check over more combinations than this is left to the kits that are judged by it.
MOST_COMBINATIONS = 50_000


def of_checks(revision: TemplateRevision, conversion: Conversion) -> Iterator[str]:
    """Each a sentence that names the check and says what to do."""
    declared = Check.objects.filter(revision=revision).prefetch_related(
        "terms__feature", "terms__reused", "terms__slot"
    )
    for check in declared:
        yield from _of_declared(check)
    for read in conversion.checks:
        yield from _of_features(conversion, read)


def _of_declared(check: Check) -> Iterator[str]:
    terms = list(check.terms.all())
    if not terms:
        yield f"{check.name} has no terms; say which features it compares."
        return
    if check.kind not in KINDS:
        yield f"{check.name}: there is no kind of check {check.kind!r}; use one of {', '.join(KINDS)}."
        return
    yield from problems(
        KINDS[check.kind],
        check.name,
        [Declared(t.role, t.sign, t.feature.quantity, t.feature.unit, t.feature.name) for t in terms],
        check.settings,
        check.at_least is not None or check.at_most is not None,
    )
    yield from _of_open_slot(check, terms)
    for term in terms:
        yield from _of_reused(check, term)


def _of_reused(check: Check, term: CheckTerm) -> Iterator[str]:
    if term.reused is not None:
        if (term.reused.quantity, term.reused.unit) != (term.feature.quantity, term.feature.unit):
            yield (
                f"{check.name}: {term.reused.name} cannot take the place of {term.feature.name}, because it "
                "is of another quantity; choose a feature of the engine that is of the same."
            )
    elif term.slot is not None and term.slot.reuse_allowed:
        yield (
            f"{check.name} does not say which feature of the engine counts when {term.slot.name} is re-used."
        )


def _of_open_slot(check: Check, terms: list[CheckTerm]) -> Iterator[str]:
    if check.open_slot_id is None:
        return
    count = sum(term.slot_id == check.open_slot_id for term in terms)
    if count == 0:
        yield f"The open slot of {check.name} is not one of its terms."
    elif count > 1:
        yield (
            f"{check.name} has two open links, since {count} of its terms are features of its open slot: one "
            "sum gives one size. Leave one of them, or name another slot."
        )


def _of_features(conversion: Conversion, check: CheckRead) -> Iterator[str]:
    for term in check.terms:
        if term.slot_id is not None and not _is_carried(conversion, term.slot_id, term.feature_id):
            slot = conversion.slot_by_id[term.slot_id]
            yield f"{check.name} asks for {term.feature} of {slot.name}, which no candidate of it has."


def _is_carried(conversion: Conversion, slot_id: int, feature_id: int) -> bool:
    """Whether any part that may fill the slot has the feature, known or not."""
    slot = conversion.slot_by_id[slot_id]
    part_ids = {part_id for c in slot.candidates for part_id, _ in c.parts}
    categories = {c.category_id for c in slot.candidates if not c.parts}
    return any(
        feature_id in part.values
        for part in conversion.parts.values()
        if part.id in part_ids or part.category_id in categories
    )


def never_passed(conversion: Conversion) -> Iterator[str]:
    """The checks that nothing on offer can pass on this engine, however the other slots are filled."""
    evaluator, standard = Evaluator(conversion), conversion.default_fills()
    for check in conversion.checks:
        if not _can_pass(evaluator, check, standard):
            slots = " and ".join(conversion.slot_by_id[slot_id].name for slot_id in check.slot_ids)
            whom = f"no candidate of {slots}" if slots else "nothing"
            why = " ".join(finding.reason for finding in evaluator.of_check(check, standard))
            yield f"On {conversion.engine} {whom} can ever pass {check.name}. With the standard kit: {why}"


def _can_pass(evaluator: Evaluator, check: CheckRead, standard: dict[int, Filling]) -> bool:
    """Whether some filling of the check's own slots passes it; the standard one is tried first."""
    if _passes(evaluator, check, standard):
        return True
    conversion = evaluator.conversion
    on_offer = [
        [choice.filling for choice in choices_for(conversion, conversion.slot_by_id[slot_id]).values()]
        for slot_id in check.slot_ids
    ]
    tried = 0
    for fillings in islice(product(*on_offer), MOST_COMBINATIONS):
        tried += 1
        if _passes(evaluator, check, dict(zip(check.slot_ids, fillings, strict=True))):
            return True
    return tried == MOST_COMBINATIONS


def _passes(evaluator: Evaluator, check: CheckRead, fills: dict[int, Filling]) -> bool:
    found = evaluator.of_check(check, fills)
    return bool(found) and all(finding.verdict in READY for finding in found)
