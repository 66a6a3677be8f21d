"""What is said about a kit in every situation that the counter meets."""

from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from django.contrib.auth.models import User

from inventory.models import Part, Supersession
from kits.customising import open_kit, swap
from kits.fit import Verdict
from kits.judging import Judgement, judge_kit
from kits.models import (
    CheckTerm,
    CustomKit,
    EngineAttribute,
    EngineFeature,
    Fill,
    FillPart,
    PartFeature,
    ShopWork,
)
from tests.clerks import Clerk
from tests.kits.builders import Conversion, category, feature, kind, mm, part

pytestmark = [pytest.mark.django_db, pytest.mark.main_job]


@pytest.fixture
def counter(clerk: Clerk) -> User:
    return clerk("counter")


def verdict_of(judgement: Judgement, code: str) -> Verdict:
    return next(finding.verdict for finding in judgement.findings if finding.code == code)


def reason_of(judgement: Judgement, code: str) -> str:
    return next(finding.reason for finding in judgement.findings if finding.code == code)


def test_the_standard_kit_goes_together_and_says_with_which_figures(kit: CustomKit) -> None:
    judgement = judge_kit(kit)
    assert judgement.verdict is Verdict.GOES_TOGETHER
    assert len(judgement.reasons) == 4
    assert judgement.reasons[0].startswith("belt-plane is 0.35 to 0.55 mm")


def test_a_longer_hub_goes_with_work_and_the_work_has_its_figures(
    kit: CustomKit, belt: Conversion, counter: User
) -> None:
    judgement = judge_kit(swap(counter, kit, "pulley", belt.key("CP-120")))
    assert judgement.verdict is Verdict.GOES_WITH_WORK
    (job,) = judgement.jobs
    assert (str(job.amount), str(job.target)) == ("0.34 mm", "40.06 to 40.10 mm")
    assert judgement.reasons == [reason_of(judgement, "belt-plane")]


def test_a_pulley_too_long_does_not_go_and_names_the_spacer_that_makes_it_right(
    kit: CustomKit, belt: Conversion, counter: User
) -> None:
    kit = swap(counter, kit, "pulley", belt.key("CP-141"))
    judgement = judge_kit(kit)
    assert judgement.verdict is Verdict.DOES_NOT_GO
    assert judgement.reasons[0].endswith(
        "With spacer thick 2.10 to 2.25 mm (0.0827 to 0.0885 in) it goes together; "
        "in the list: Corran CS-22 spacer (not on the shelf)."
    )
    assert judge_kit(swap(counter, kit, "spacer", belt.key("CS-22"))).verdict is Verdict.GOES_TOGETHER


def test_the_size_that_a_slot_needs_is_told_when_nothing_in_the_list_has_it(
    kit: CustomKit, belt: Conversion, counter: User
) -> None:
    PartFeature.objects.filter(part=belt.parts["CS-22"]).update(**feature("1.0 mm"))
    judgement = judge_kit(swap(counter, kit, "pulley", belt.key("CP-141")))
    assert judgement.reasons[0].endswith(
        "it goes together; none in the list has that, and no shop work brings one there."
    )


def test_the_spacer_that_a_shop_work_brings_to_the_size_is_told(
    kit: CustomKit, belt: Conversion, counter: User
) -> None:
    PartFeature.objects.filter(part=belt.parts["CS-22"]).update(**feature("2.50 mm"))
    ShopWork.objects.create(
        code="face-spacer", name="Face the spacer", category=category("spacer"), feature=kind("thick"),
        lowers=True, most=mm("0.50"), keeps=mm("0.01"), price=Decimal("9.00"), minutes=10,
        done_by="own bench",
    )  # fmt: skip
    judgement = judge_kit(swap(counter, kit, "pulley", belt.key("CP-141")))
    # To 2.24 +/- 0.01 mm, which is within the 2.10 to 2.25 mm that are needed: 0.26 mm off 2.50 mm.
    assert judgement.reasons[0].endswith(
        "none in the list has that, but Corran CS-22 spacer (not on the shelf) does with up to "
        "0.26 mm (0.0103 in) taken off (face the spacer, own bench)."
    )


def test_an_unknown_size_of_a_part_is_measured_first(kit: CustomKit, belt: Conversion, counter: User) -> None:
    judgement = judge_kit(swap(counter, kit, "pulley", belt.key("CP-150")))
    assert judgement.verdict is Verdict.MEASURE_FIRST
    assert "pulley Corran CP-150 hub is unknown" in judgement.reasons[0]


def test_a_size_that_nobody_recorded_is_measured_first(kit: CustomKit, belt: Conversion) -> None:
    PartFeature.objects.filter(part=belt.parts["CP-104"], kind=kind("hub")).delete()
    assert judge_kit(kit).verdict is Verdict.MEASURE_FIRST


def test_a_size_of_the_engine_that_nobody_recorded_is_measured_first(
    kit: CustomKit, belt: Conversion
) -> None:
    EngineFeature.objects.filter(engine=belt.engine, kind=kind("plane")).delete()
    judgement = judge_kit(kit)
    assert "Measure engine OM-3A plane" in reason_of(judgement, "belt-plane")


def test_the_customers_own_pump_of_unknown_size_is_measured_first(kit: CustomKit, counter: User) -> None:
    judgement = judge_kit(swap(counter, kit, "pump", "own"))
    assert judgement.verdict is Verdict.MEASURE_FIRST
    assert "customer's own pump boss is unknown" in judgement.reasons[0]


@pytest.mark.parametrize(
    ("size", "verdict"),
    [
        ("79.5 mm", Verdict.GOES_TOGETHER),
        ("79.4..79.6 mm", Verdict.MEASURE_FIRST),
        ("79.7 mm", Verdict.DOES_NOT_GO),
        ("", Verdict.MEASURE_FIRST),
    ],
)
def test_the_customers_own_pump_is_judged_by_the_size_given(
    kit: CustomKit, counter: User, size: str, verdict: Verdict
) -> None:
    judgement = judge_kit(swap(counter, kit, "pump", "own", own={"boss": size}))
    assert verdict_of(judgement, "boss-gap") is verdict


def test_a_pump_re_used_is_judged_by_the_engines_own_size(
    kit: CustomKit, counter: User, belt: Conversion
) -> None:
    kit = swap(counter, kit, "pump", "reused")
    assert reason_of(judge_kit(kit), "boss-gap").startswith("boss-gap is 0.90 to 1.10 mm")
    EngineFeature.objects.filter(engine=belt.engine, kind=kind("old-boss")).delete()
    assert verdict_of(judge_kit(kit), "boss-gap") is Verdict.MEASURE_FIRST


def test_a_part_left_out_of_a_chain_takes_no_room(draft: Conversion, counter: User) -> None:
    draft.slot("shim", required=False)
    CheckTerm.objects.create(
        of=draft.revision.checks.get(code="belt-plane"), sequence=9, **draft.term(-1, "shim", "thick")
    )
    draft.released()
    kit = open_kit(counter, draft.template, draft.engine)
    assert reason_of(judge_kit(kit), "belt-plane").startswith("belt-plane is 0.35 to 0.55 mm")


def test_a_pair_of_which_one_is_left_out_is_no_pair(kit: CustomKit, belt: Conversion) -> None:
    Fill.objects.filter(kit=kit, slot=belt.slots["pulley"]).update(how="left out")
    FillPart.objects.filter(fill__kit=kit, fill__slot=belt.slots["pulley"]).delete()
    judgement = judge_kit(kit)
    assert "nose-fit" not in [finding.code for finding in judgement.findings]
    assert (judgement.verdict, judgement.reasons[0]) == (
        Verdict.DOES_NOT_GO,
        "pulley must be filled: choose one of its candidates.",
    )


def test_six_bolts_side_by_side_are_one_bolt_long(kit: CustomKit) -> None:
    assert reason_of(judge_kit(kit), "thread").startswith("thread is 12.50 to 12.85 mm")


def test_shims_one_on_the_other_add_up_and_are_not_worked(draft: Conversion, counter: User) -> None:
    draft.parts["CS-16"] = part("CS-16", "spacer", thick="1.57..1.60 mm")
    draft.candidate("spacer", "CS-16", quantity=2, rank=5)
    draft.released()
    kit = open_kit(counter, draft.template, draft.engine)
    judgement = judge_kit(swap(counter, kit, "spacer", draft.key("CS-16")))
    assert reason_of(judgement, "belt-plane").startswith("belt-plane is 0.35 to 0.56 mm")


def test_of_parts_that_come_together_the_one_with_the_feature_counts(
    draft: Conversion, counter: User
) -> None:
    draft.candidate("pulley", "CP-104", "CG-2", rank=9)
    draft.released()
    kit = open_kit(counter, draft.template, draft.engine)
    judgement = judge_kit(swap(counter, kit, "pulley", draft.key("CP-104", "CG-2")))
    assert judgement.verdict is Verdict.GOES_TOGETHER


def when(name: str, *values: str, **more: object) -> dict[str, Any]:
    return {"side": "when", "name": name, "values": list(values), **more}


def then(name: str, *values: str, **more: object) -> dict[str, Any]:
    return {"side": "then", "name": name, "values": list(values), **more}


def judged_with_rule(draft: Conversion, counter: User, sort: str, *terms: dict[str, Any]) -> Judgement:
    draft.rule("guarded", sort, *terms)
    kit = open_kit(counter, draft.released().template, draft.engine)
    return judge_kit(kit)


def test_a_need_that_is_met_says_nothing(draft: Conversion, counter: User) -> None:
    need = then("filled", "parts", slot=draft.slots["guard"])
    judgement = judged_with_rule(draft, counter, "needs", when("housing", "iron"), need)
    assert judgement.rules == ()


def test_a_need_that_is_not_met_does_not_go(draft: Conversion, counter: User) -> None:
    need = then("filled", "left out", slot=draft.slots["guard"])
    judgement = judged_with_rule(draft, counter, "needs", when("housing", "iron"), need)
    assert (judgement.verdict, judgement.reasons) == (Verdict.DOES_NOT_GO, ["guarded says why."])


def test_a_need_of_another_engine_says_nothing(draft: Conversion, counter: User) -> None:
    need = then("filled", "left out", slot=draft.slots["guard"])
    assert judged_with_rule(draft, counter, "needs", when("housing", "iron", unless=True), need).rules == ()


@pytest.mark.parametrize(
    ("name", "value"), [("maker", "corran"), ("category", "pulley"), ("part", "CP104"), ("filled", "parts")]
)
def test_a_clash_asks_what_fills_a_slot(draft: Conversion, counter: User, name: str, value: str) -> None:
    judgement = judged_with_rule(draft, counter, "clashes", when(name, value, slot=draft.slots["pulley"]))
    assert judgement.verdict is Verdict.DOES_NOT_GO


def test_a_note_is_only_said(draft: Conversion, counter: User) -> None:
    judgement = judged_with_rule(draft, counter, "note", when("housing", "iron"))
    assert (judgement.verdict, judgement.notes) == (Verdict.GOES_TOGETHER, ("guarded says why.",))


def test_an_attribute_that_nobody_recorded_is_never_taken_as_harmless(
    draft: Conversion, counter: User
) -> None:
    judgement = judged_with_rule(draft, counter, "clashes", when("housing-age", "old"))
    assert judgement.verdict is Verdict.MEASURE_FIRST
    assert judgement.reasons[0].startswith("Find out the housing age of engine OM-3A")


def test_a_rule_is_judged_on_the_engine_as_recorded_now(draft: Conversion, counter: User) -> None:
    draft.rule("iron-only", "clashes", when("housing", "iron", unless=True))
    kit = open_kit(counter, draft.released().template, draft.engine)
    EngineAttribute.objects.filter(engine=draft.engine).update(value="aluminium")
    assert judge_kit(kit).verdict is Verdict.DOES_NOT_GO


def test_a_superseded_part_is_noted_with_its_successor(kit: CustomKit, belt: Conversion) -> None:
    Supersession.objects.create(
        old=belt.parts["CW-7"],
        new=part("CW-8", "pump", boss="79.2 mm"),
        since=date(2026, 1, 1),
        drop_in=False,
    )
    assert judge_kit(kit).notes == (
        "Corran CW-7 pump is superseded by Corran CW-8; check what else changes with it.",
    )


def test_a_part_no_longer_sold_and_gone_is_noted(kit: CustomKit, belt: Conversion) -> None:
    Part.objects.filter(pk=belt.parts["CW-7"].pk).update(standing="ended")
    assert judge_kit(kit).notes == ("Corran CW-7 pump is no longer sold and none is left; choose another.",)


def test_a_judgement_is_stored_as_plain_values(kit: CustomKit) -> None:
    stored = judge_kit(kit).as_dict()
    assert stored["verdict"] == "goes together"
    assert {finding["code"] for finding in stored["findings"]} == {
        "belt-plane",
        "boss-gap",
        "nose-fit",
        "thread",
    }
