"""The mechanics of the demo: standard kits go together, and every special case is there to be seen."""

import pytest

from kits.customising import conversions_for
from kits.fit import Verdict
from kits.models import Engine, TemplateRevision
from tests.shop.demo.benching import conversion_of, finding, judged, part_named, slot_named

pytestmark = pytest.mark.usefixtures("shop")

GOES, WORK, NOT = Verdict.GOES_TOGETHER, Verdict.GOES_WITH_WORK, Verdict.DOES_NOT_GO


# What has to follow when the crank pulley has another number of grooves, or another profile.
THREE_RIBS = {
    "crank_pulley": "aldwen AW-1202",
    "belt": "hoskerby HB-0880-3",
    "pump_pulley": "aldwen AW-1506",
}
WEDGE = {
    "crank_pulley": "tarrowby TL/4-111",
    "belt": "hoskerby HB-0880-W",
    "pump_pulley": "aldwen AW-1505",
}


def test_every_standard_kit_goes_together_on_every_engine_it_is_released_for() -> None:
    verdicts = {
        (revision.template.code, engine.code): judged(revision.template.code, engine.code).verdict
        for revision in TemplateRevision.objects.select_related("template")
        for engine in revision.engines.all()
    }
    assert len(verdicts) == 26
    assert {key: verdict for key, verdict in verdicts.items() if verdict is not GOES} == {}


@pytest.mark.parametrize(
    ("template", "engine", "instead"),
    [
        ("belt-front", "HED-10", "raw-water-aside"),
        ("raw-water-aside", "BOD-24", "belt-front"),
        ("flexible-drive", "HED-10", "raw-water-aside"),
        ("flexible-drive", "HED-11", "raw-water-aside"),
        ("belt-front", "FET-31", None),
        ("raw-water-aside", "FET-31", None),
    ],
)
def test_what_never_goes_offers_something_that_does(template: str, engine: str, instead: str | None) -> None:
    found = {p.template.code: p for p in conversions_for(Engine.objects.get(code=engine))}
    assert not found[template].possible
    assert found[template].reason
    offered = found[template].instead
    assert (offered and offered["code"]) == instead
    assert instead is None or found[instead].possible


@pytest.mark.parametrize(
    ("template", "engine", "swaps"),
    [
        ("belt-front", "BOD-22", {"crank_pulley": "tarrowby TL/4-110", "spacer": "aldwen AW-1407"}),
        ("belt-front", "BOD-22", {"crank_pulley": "tarrowby TL/4-110", "spacer": "tarrowby TL/5-203"}),
        ("belt-front", "BOD-22", {"crank_pulley": "aldwen AW-1204", "spacer": "aldwen AW-1406"}),
        ("belt-front", "HED-11", {"pump_bolts": "drossett DF-08-035"}),
        ("belt-front", "HED-11", {"nose_bolt": "kellowick KW-112-B"}),
        ("belt-front", "HED-11", {"nose_bolt": "drossett DF-12-030-H"}),
        ("belt-front", "HED-11", THREE_RIBS),
        ("belt-front", "HED-11", {**THREE_RIBS, "pump": "corvane CV 340"}),
        ("belt-front", "BOD-23", {**WEDGE, "spacer": "aldwen AW-1407"}),
        ("belt-front", "HED-11", {"nose_washer": "reused", "hose_clamps": "reused"}),
        ("belt-front", "HED-11", {"hose_clamps": "hoskerby HC-32-N", "pump": "ellermoor E-33"}),
        ("belt-front", "HED-11", {"pump": "corvane CV 310", "sealant": "left-out"}),
        ("raw-water-aside", "HED-11", {"raw_pump": "corvane CV 515", "shim": "aldwen AW-1705"}),
        ("raw-water-aside", "HED-11", {"bracket": "ellermoor E-21-D", "shim": "aldwen AW-1705"}),
        ("raw-water-aside", "HED-11", {"bracket_bolts": "drossett DF-08-025"}),
        ("flexible-drive", "FET-30", {"hub": "ilvane IV.38.30", "thrust_spacer": "aldwen AW-1605"}),
        ("flexible-drive", "FET-30", {"hub": "ilvane IV.38.30", "thrust_spacer": "tarrowby TL/9-012"}),
        ("flexible-drive", "FET-30", {"hub": "ilvane IV.40.30K", "key": "drossett DF-K-832"}),
        ("flexible-drive", "BOD-20", {"element": "ilvane IV.90.A"}),
    ],
)
def test_what_is_changed_together_goes_together(template: str, engine: str, swaps: dict[str, str]) -> None:
    assert judged(template, engine, **swaps).verdict is GOES


def test_a_narrow_pulley_is_told_which_spacer_it_needs() -> None:
    reason = finding(judged("belt-front", "BOD-22", crank_pulley="tarrowby TL/4-110"), "nose-gap").reason
    assert "AW-1407" in reason
    assert "TL/5-203" in reason
    assert "AW-1404 crank nose spacer" not in reason


def test_a_spacer_that_is_too_long_is_faced() -> None:
    judgement = judged("belt-front", "BOD-22", crank_pulley="tarrowby TL/4-110", spacer="aldwen AW-1450")
    assert judgement.verdict is WORK
    assert [job.work.code for job in judgement.jobs] == ["face-spacer"]


@pytest.mark.parametrize(
    ("template", "engine", "swaps", "rule"),
    [
        ("belt-front", "BOD-22", {"pump": "corvane CV 320"}, "steel-on-aluminium"),
        ("belt-front", "BOD-22", {"crank_pulley": "tarrowby TL/4-111"}, "wedge-pulley"),
        ("raw-water-aside", "HED-10", {"port_gasket": "grendlaw GS 732"}, "paper-with-sealant"),
        ("flexible-drive", "FET-30", {"hub": "ilvane IV.40.30K"}, "keyed-hub"),
        ("flexible-drive", "FET-30", {"drive_plate": "aldwen AW-1801"}, "trigger-plate"),
        ("flexible-drive", "FET-30", {"element": "ilvane IV.90.A"}, "soft-on-four"),
    ],
)
def test_a_broken_rule_says_so(template: str, engine: str, swaps: dict[str, str], rule: str) -> None:
    judgement = judged(template, engine, **swaps)
    assert judgement.verdict is NOT
    assert rule in {found.code for found in judgement.rules}


def test_steel_goes_on_aluminium_with_an_isolating_gasket() -> None:
    swaps = {"pump": "corvane CV 320", "adaptor_gasket": "grendlaw GS 703"}
    assert judged("belt-front", "BOD-22", **swaps).verdict is GOES


def test_two_keyways_are_only_a_note() -> None:
    assert any("two keyways" in note for note in judged("belt-front", "BOD-23").notes)
    assert not any("two keyways" in note for note in judged("belt-front", "BOD-22").notes)


def test_a_superseded_part_names_its_successor() -> None:
    assert any("CV 312" in note for note in judged("belt-front", "HED-11", pump="corvane CV 310").notes)


def test_narrow_clamps_stand_in_two_for_one() -> None:
    conversion = conversion_of("belt-front", "HED-11")
    stand_in = slot_named(conversion, "hose-clamps").substitutions[0]
    assert (stand_in.replaces, stand_in.takes) == (1, 2)


def test_the_original_bolt_stands_in_only_on_the_older_series() -> None:
    bolt = part_named("kellowick KW-112-B").pk

    def stand_ins(engine: str) -> list[int]:
        slot = slot_named(conversion_of("belt-front", engine), "nose-bolt")
        return [s.stand_in for s in slot.substitutions]

    assert bolt in stand_ins("HED-12")
    assert bolt not in stand_ins("HED-13")
