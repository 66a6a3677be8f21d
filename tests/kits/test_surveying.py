"""What a template's survey says, and what is compiled when it is released."""

import json
from io import StringIO

import pytest
from django.core.management import CommandError, call_command
from pytest_django import DjangoCaptureOnCommitCallbacks

from kits import surveying, tasks
from kits.compiling import keeping
from kits.compiling.network import Drafted, network_of
from kits.compiling.seats import Fillings
from kits.conversion import Conversion as Read
from kits.models import EngineFeature, PartFeature
from kits.releasing import release
from kits.surveying import survey
from tests.clerks import Clerk
from tests.kits.builders import Conversion, engine, feature, kind

pytestmark = pytest.mark.django_db


IDLE = "bolt: no whole kit has Corran CB-35 bolt."


def test_where_everything_is_of_use_there_is_nothing_to_say(draft: Conversion) -> None:
    PartFeature.objects.filter(part=draft.parts["CB-35"]).update(**feature("29.9..30.0 mm"))
    assert survey(draft.revision).said == ()


def test_a_candidate_that_no_whole_kit_has_is_listed(draft: Conversion) -> None:
    # It reaches further than the thread check allows, whatever it clamps.
    assert survey(draft.revision).said == (IDLE,)


def test_a_candidate_that_one_of_two_engines_uses_is_not_listed(draft: Conversion) -> None:
    second = engine("OM-3B", plane="44.65..44.70 mm")
    draft.revision.engines.add(second)
    # There only CP-141 with CS-32 fits: CP-104 and CS-22 are of use on the first engine.
    assert survey(draft.revision).said == (IDLE,)


def test_an_engine_without_a_kit_is_listed_with_the_reason(draft: Conversion) -> None:
    EngineFeature.objects.filter(engine=draft.engine, kind=kind("nose")).update(**feature("26 mm"))
    said = survey(draft.revision)
    assert said.engines_without_kit == ("No whole kit exists on engine OM-3A: nose-fit.",)
    assert len(said.idle_candidates) > 5


def test_a_rule_that_the_checks_let_nobody_break_is_listed(draft: Conversion) -> None:
    slots = draft.slots
    draft.rule(
        "matters", "clashes",
        {"slot": slots["guard"], "name": "filled", "values": ["parts"]},
        {"slot": slots["bolt"], "name": "part", "values": ["CB30"]},
    )  # fmt: skip
    # CP-141 never goes with the thick spacer: the belt plane check says so already.
    draft.rule(
        "idle", "clashes",
        {"slot": slots["pulley"], "name": "part", "values": ["CP141"]},
        {"slot": slots["spacer"], "name": "part", "values": ["CS32"]},
    )  # fmt: skip
    (said,) = survey(draft.revision).idle_rules
    assert said.startswith("Rule idle never matters")


def test_the_command_lists_it_for_people_and_for_programs(draft: Conversion) -> None:
    out = StringIO()
    call_command("survey", "belt-pump", stdout=out)
    assert f"Belt pump revision 1, 1 engines\n  {IDLE}" in out.getvalue()
    out = StringIO()
    call_command("survey", "belt-pump", json=True, stdout=out)
    assert json.loads(out.getvalue())["idle_candidates"] == [IDLE]
    with pytest.raises(CommandError, match="There is no such revision of 'belt-pomp'"):
        call_command("survey", "belt-pomp")
    with pytest.raises(CommandError, match="Belt pump revision 1"):
        call_command("survey", "belt-pump", revision=7)


def test_releasing_has_the_networks_compiled_in_the_background(
    draft: Conversion,
    clerk: Clerk,
    monkeypatch: pytest.MonkeyPatch,
    django_capture_on_commit_callbacks: DjangoCaptureOnCommitCallbacks,
) -> None:
    asked: list[int] = []
    monkeypatch.setattr(tasks.prepare_networks, "delay", asked.append)
    with django_capture_on_commit_callbacks(execute=True):
        release(clerk("catalogue"), draft.revision)
    assert asked == [draft.revision.pk]


def test_what_was_prepared_is_not_compiled_again(draft: Conversion, monkeypatch: pytest.MonkeyPatch) -> None:
    made: list[str] = []

    def counted(conversion: Read, fillings: Fillings) -> Drafted:
        made.append(conversion.engine)
        return network_of(conversion, fillings)

    monkeypatch.setattr(keeping, "network_of", counted)
    assert surveying.prepare(draft.revision) == 1
    before = len(made)
    assert tasks.prepare_networks(draft.revision.pk) == 1
    assert len(made) == before
    # A dimension that a check uses is another network; one that no check uses is not.
    PartFeature.objects.create(part=draft.parts["CG-2"], kind=kind("colour-depth"), **feature("1 mm"))
    surveying.prepare(draft.revision)
    assert len(made) == before
    PartFeature.objects.filter(part=draft.parts["CS-22"]).update(**feature("2.16..2.20 mm"))
    surveying.prepare(draft.revision)
    assert len(made) == before + 2  # with and without what only the customer could bring
