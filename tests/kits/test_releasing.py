"""What may be released, what is refused, and what never changes afterwards."""

from collections.abc import Callable

import pytest
from django.contrib.auth.models import User
from django.db import transaction
from django.db.models import Model

from inventory.acting import ActError, NotAllowed
from kits.customising import open_kit
from kits.judging import judge_kit
from kits.models import (
    Candidate,
    CandidatePart,
    Check,
    CheckTerm,
    FittingStep,
    Rule,
    RuleTerm,
    Slot,
    Substitution,
    TemplateRevision,
)
from kits.releasing import problems, release
from kits.revising import revise
from tests.clerks import Clerk
from tests.kits.builders import Conversion, engine, part

pytestmark = pytest.mark.django_db


@pytest.fixture
def keeper(clerk: Clerk) -> User:
    return clerk("catalogue")


@pytest.mark.main_job
def test_a_release_has_a_time_and_a_name_and_withdraws_the_one_before(
    draft: Conversion, keeper: User, clerk: Clerk
) -> None:
    first = release(keeper, draft.revision)
    assert (first.state, first.released_by) == ("released", keeper) and first.released_at
    second = release(keeper, revise(keeper, first))
    first.refresh_from_db()
    assert (first.state, second.state, second.number) == ("withdrawn", "released", 2)
    assert open_kit(clerk("counter"), draft.template, draft.engine).revision == second


def test_only_the_catalogue_desk_releases(draft: Conversion, clerk: Clerk) -> None:
    with pytest.raises(NotAllowed):
        release(clerk("counter"), draft.revision)


def test_a_released_revision_is_not_released_again(belt: Conversion, keeper: User) -> None:
    with pytest.raises(ActError, match="released already; make a new revision"):
        release(keeper, belt.revision)


def without_engines(draft: Conversion) -> None:
    draft.revision.engines.clear()


def on_an_engine_without_sizes(draft: Conversion) -> None:
    draft.revision.engines.add(engine("OM-3B", plane=None))


def on_an_engine_too_short(draft: Conversion) -> None:
    draft.revision.engines.add(engine("OM-3B", plane="40 mm"))


def on_an_engine_that_it_is_never_for(draft: Conversion) -> None:
    draft.rule("no-iron", "never", {"name": "housing", "values": ["iron"]})


def required_without_default(draft: Conversion) -> None:
    draft.slot("belt")


def two_of_a_name(draft: Conversion) -> None:
    Slot.objects.filter(pk=draft.slots["guard"].pk).update(name="pump")


def a_candidate_of_nothing(draft: Conversion) -> None:
    draft.candidate("guard", rank=7)


def a_rule_without_when(draft: Conversion) -> None:
    draft.rule("always", "note")


def a_need_of_nothing(draft: Conversion) -> None:
    draft.rule("needs", "needs", {"name": "housing", "values": ["steel"]})


def a_clash_that_needs(draft: Conversion) -> None:
    term = {"name": "housing", "values": ["steel"]}
    draft.rule("clash", "clashes", term, term | {"side": "then"})


def a_filling_that_there_is_not(draft: Conversion) -> None:
    draft.rule("typo", "note", {"slot": draft.slots["pump"], "name": "filled", "values": ["left-out"]})


@pytest.mark.parametrize(
    ("spoil", "words"),
    [
        (without_engines, "Name at least one engine"),
        (on_an_engine_without_sizes, "asks for plane of engine OM-3B, which is not known"),
        (
            on_an_engine_too_short,
            "On engine OM-3B no candidate of pulley and spacer can ever pass belt-plane",
        ),
        (on_an_engine_that_it_is_never_for, "On engine OM-3A the standard kit is 'does not go': no-iron"),
        (required_without_default, "belt is required and has no default"),
        (two_of_a_name, "Two slots are called pump"),
        (a_candidate_of_nothing, "A candidate of guard has no parts"),
        (a_rule_without_when, "Rule always does not say when it holds"),
        (a_need_of_nothing, "Rule needs does not say what is needed then"),
        (a_clash_that_needs, "only a rule of the kind 'needs' does"),
        (a_filling_that_there_is_not, "a filling that there is not: left-out"),
    ],
)
def test_what_is_not_right_is_not_released_and_named(
    draft: Conversion, keeper: User, spoil: Callable[[Conversion], None], words: str
) -> None:
    assert problems(draft.revision) == []
    spoil(draft)
    with pytest.raises(ActError, match="cannot be released") as refused:
        release(keeper, draft.revision)
    assert refused.value.code == "cannot-release"
    assert any(words in problem for problem in refused.value.details["problems"])
    draft.revision.refresh_from_db()
    assert draft.revision.state == "draft"


def test_a_standard_kit_with_planned_shop_work_may_be_released(draft: Conversion, keeper: User) -> None:
    pulley = draft.slots["pulley"]
    Candidate.objects.filter(slot=pulley).update(is_default=False)
    Candidate.objects.filter(slot=pulley, parts__part=draft.parts["CP-120"]).update(is_default=True)
    assert release(keeper, draft.revision).state == "released"


def everything_in(draft: Conversion) -> list[Model]:
    rule = draft.rule("note", "note", {"name": "housing", "values": ["steel"]})
    other = part("CB-31", "bolt", length="30 mm")
    Substitution.objects.create(slot=draft.slots["bolt"], standard=draft.parts["CB-30"], stand_in=other)
    draft.released()
    return [
        model._default_manager.all()[0]
        for model in (Slot, Candidate, CandidatePart, Substitution, Rule, Check, CheckTerm, FittingStep)
    ] + [RuleTerm.objects.get(rule=rule), draft.revision]


def assert_refused(change: Callable[[], object]) -> None:
    """The inner transaction is the one that the refusal breaks."""
    with (
        pytest.raises(ActError, match="Make a new revision and change that") as refused,
        transaction.atomic(),
    ):
        change()
    assert refused.value.code == "released-revision"


def test_nothing_of_a_released_revision_is_saved_or_deleted(draft: Conversion) -> None:
    for thing in everything_in(draft):
        if isinstance(thing, TemplateRevision):
            thing.hours = 9
        assert_refused(thing.save)
        assert_refused(thing.delete)


def test_nothing_is_added_to_a_released_revision_or_moved_out_of_it(belt: Conversion) -> None:
    assert_refused(lambda: belt.slot("extra"))
    assert_refused(lambda: FittingStep.objects.create(revision=belt.revision, sequence=99, text="One more."))
    draft = TemplateRevision.objects.create(template=belt.template, number=2)
    step = FittingStep.objects.filter(revision=belt.revision)[0]
    step.revision = draft
    assert_refused(step.save)


def test_the_engines_of_a_released_revision_stay(belt: Conversion) -> None:
    other = engine("OM-3B")
    for change in (
        lambda: belt.revision.engines.add(other),
        belt.revision.engines.clear,
        lambda: other.revisions.add(belt.revision),
        lambda: belt.engine.revisions.remove(belt.revision),
        belt.engine.revisions.clear,
    ):
        assert_refused(change)
    assert list(belt.revision.engines.all()) == [belt.engine]


def test_the_engines_of_a_released_substitution_stay(draft: Conversion) -> None:
    other = part("CB-31", "bolt", length="30 mm")
    substitution = Substitution.objects.create(
        slot=draft.slots["bolt"], standard=draft.parts["CB-30"], stand_in=other
    )
    substitution.engines.add(draft.engine)
    draft.released()
    assert_refused(substitution.engines.clear)


def test_a_released_revision_can_only_be_withdrawn(belt: Conversion) -> None:
    belt.revision.state = "draft"
    assert_refused(belt.revision.save)
    belt.revision.state = "withdrawn"
    belt.revision.save()
    belt.revision.state = "released"
    assert_refused(belt.revision.save)


def test_a_draft_can_be_changed_and_thrown_away(draft: Conversion) -> None:
    draft.slots["guard"].name = "belt guard"
    draft.slots["guard"].save()
    draft.revision.delete()
    assert not Slot.objects.exists()


def test_a_new_revision_has_the_same_contents_and_judges_the_same(
    draft: Conversion, keeper: User, clerk: Clerk
) -> None:
    everything_in(draft)
    made = revise(keeper, draft.revision)
    assert (made.state, made.number) == ("draft", 2)
    for model, path in (
        (Slot, "revision"),
        (CandidatePart, "candidate__slot__revision"),
        (Substitution, "slot__revision"),
        (RuleTerm, "rule__revision"),
        (CheckTerm, "of__revision"),
        (FittingStep, "revision"),
    ):
        counts = [model.objects.filter(**{path: revision}).count() for revision in (draft.revision, made)]
        assert counts[0] == counts[1] > 0
    before = judge_kit(open_kit(clerk("counter"), draft.template, draft.engine))
    release(keeper, made)
    assert judge_kit(open_kit(clerk("counter"), draft.template, draft.engine)) == before
    assert (
        CheckTerm.objects.filter(of__revision=made).exclude(slot__revision=made).exclude(slot=None).count()
        == 0
    )
