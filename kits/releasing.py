"""Releasing a template revision: only one that goes together on every engine that it is released for."""

from __future__ import annotations

from collections.abc import Iterator

from django.conf import settings
from django.contrib.auth.models import User
from django.db import transaction
from django.utils import timezone

from inventory.acting import ActError, act
from kits import tasks
from kits.conversion import PARTS, Conversion, RuleRead
from kits.declaring import READY, never_passed, of_checks
from kits.judging import judge_fills
from kits.models import KitTemplate, Rule, TemplateRevision
from kits.reading import read_conversion
from kits.terms import term_for

State = TemplateRevision.State


@act("kits.keep_catalogue")
def release(user: User, revision: TemplateRevision) -> TemplateRevision:
    """Make it the revision that new kits are opened on; the one released before is withdrawn."""
    # Two clerks who release at once wait for each other here.
    KitTemplate.objects.select_for_update().get(pk=revision.template_id)
    revision.refresh_from_db()
    found = problems(revision)
    if found:
        raise ActError(
            f"{revision} cannot be released: {' '.join(found)}", code="cannot-release", problems=found
        )
    for earlier in TemplateRevision.objects.filter(template=revision.template_id, state=State.RELEASED):
        earlier.state = State.WITHDRAWN
        earlier.save(update_fields=["state"])
    revision.state, revision.released_at, revision.released_by = State.RELEASED, timezone.now(), user
    revision.save(update_fields=["state", "released_at", "released_by"])
    if not settings.CELERY_TASK_ALWAYS_EAGER:  # Without a worker the first kit makes its own.
        transaction.on_commit(lambda: tasks.prepare_networks.delay(revision.pk))
    return revision


def problems(revision: TemplateRevision) -> list[str]:
    """What stands in the way of a release, each a sentence; empty when nothing does."""
    if revision.state != State.DRAFT:
        return [f"It is {revision.state} already; make a new revision and release that."]
    engines = list(revision.engines.all())
    if not engines:
        return ["Name at least one engine that it is released for."]
    conversions = [read_conversion(revision, engine) for engine in engines]
    first = conversions[0]
    found = [*_of_slots(first), *_of_rules(first), *of_checks(revision, first)]
    if not found:  # Judging what is half described says nothing new.
        for conversion in conversions:
            found += _on_engine(conversion)
    return list(dict.fromkeys(found))


def _of_slots(conversion: Conversion) -> Iterator[str]:
    if not conversion.slots:
        yield "It has no slots; add what goes into the kit."
    names = [slot.name for slot in conversion.slots]
    for name in sorted({name for name in names if names.count(name) > 1}):
        yield f"Two slots are called {name}; reasons could not tell them apart."
    for slot in conversion.slots:
        if slot.required and slot.default is None:
            yield f"{slot.name} is required and has no default; mark one of its candidates."
        if any(not c.parts and c.category_id is None for c in slot.candidates):
            yield f"A candidate of {slot.name} has no parts and selects no category."


def _of_rules(conversion: Conversion) -> Iterator[str]:
    for rule in conversion.rules:
        yield from _of_rule(rule)


def _of_rule(rule: RuleRead) -> Iterator[str]:
    if not rule.when:
        yield f"Rule {rule.code} does not say when it holds."
    if rule.kind == Rule.Kind.NEEDS and not rule.then:
        yield f"Rule {rule.code} does not say what is needed then."
    if rule.kind != Rule.Kind.NEEDS and rule.then:
        yield f"Rule {rule.code} says what is needed, which only a rule of the kind 'needs' does."
    for term in (*rule.when, *rule.then):
        if term.name == "filled" and term.slot_id and not term.values <= {PARTS, "own", "reused", "left out"}:
            yield f"Rule {rule.code} asks for a filling that there is not: {', '.join(sorted(term.values))}."


def _on_engine(conversion: Conversion) -> Iterator[str]:
    """What is not recorded of the engine, and whether the standard kit goes on it."""
    for check in conversion.checks:
        for term in check.terms:
            if term.slot_id is None:
                there = term_for(conversion, term, {})
                if there is None or there.measured.value is None:
                    yield f"{check.name} asks for {term.feature} of {conversion.engine}, which is not known."
    hopeless = list(never_passed(conversion))
    yield from hopeless
    judgement = judge_fills(conversion, conversion.default_fills())
    if judgement.verdict not in READY and not hopeless:
        why = " ".join(judgement.reasons)
        yield f"On {conversion.engine} the standard kit is '{judgement.verdict.value}': {why}"
