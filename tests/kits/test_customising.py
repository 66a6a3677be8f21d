"""Opening a kit for the customer's engine, and swapping what fills its slots."""

from typing import Any

import pytest
from django.contrib.auth.models import User

from inventory.acting import ActError, Conflict, NotAllowed
from inventory.models import AuditEntry
from kits.customising import NotOnThisEngine, conversions_for, let_follow, open_kit, swap, swap_together
from kits.judging import judge_kit
from kits.models import CustomKit, KitTemplate, Slot, Substitution, TemplateRevision
from tests.clerks import Clerk
from tests.kits.builders import Conversion, engine, part

pytestmark = [pytest.mark.django_db, pytest.mark.main_job]


@pytest.fixture
def counter(clerk: Clerk) -> User:
    return clerk("counter")


def parts_in(kit: CustomKit, slot: str) -> dict[str, int]:
    fill = kit.fills.get(slot__code=slot)
    return {row.part.number: row.quantity for row in fill.parts.all()}


def test_a_kit_opens_with_its_defaults_and_what_has_none_left_out(kit: CustomKit) -> None:
    assert parts_in(kit, "bolt") == {"CB-30": 6}
    assert kit.fills.count() == 5
    assert {fill.how for fill in kit.fills.all()} == {"parts"}


def test_only_the_counter_opens_kits(belt: Conversion, clerk: Clerk) -> None:
    with pytest.raises(NotAllowed):
        open_kit(clerk("floor"), belt.template, belt.engine)


def test_an_engine_that_it_is_never_for_is_refused_with_the_reason_and_what_to_do_instead(
    draft: Conversion, counter: User
) -> None:
    other = KitTemplate.objects.create(code="gear-pump", name="Gear pump", purpose="Instead.")
    term = {"name": "housing", "values": ["iron"]}
    draft.rule("no-iron", "never", term, instead=other)
    with pytest.raises(NotOnThisEngine) as refused:
        open_kit(counter, draft.released().template, draft.engine)
    assert refused.value.code == "never-on-this-engine"
    assert refused.value.details == {
        "reason": "no-iron says why.",
        "instead": {"code": "gear-pump", "name": "Gear pump"},
    }
    assert not CustomKit.objects.exists()


def test_an_engine_that_it_is_not_released_for_is_told_what_there_is(belt: Conversion, counter: User) -> None:
    with pytest.raises(ActError, match=r"not released for .* There is no conversion for it") as refused:
        open_kit(counter, belt.template, engine("OM-3B"))
    assert (refused.value.code, refused.value.details["offered"]) == ("no-such-conversion", [])
    new = KitTemplate.objects.create(code="gear-pump", name="Gear pump", purpose="Not yet released.")
    with pytest.raises(
        ActError, match=r"has no released revision\. What there is for it: Belt pump"
    ) as refused:
        open_kit(counter, new, belt.engine)
    assert refused.value.details["offered"] == [{"code": "belt-pump", "name": "Belt pump"}]


def test_a_required_slot_without_a_default_opens_no_kit(draft: Conversion, counter: User) -> None:
    draft.slot("belt")
    with pytest.raises(ActError) as refused:
        open_kit(counter, draft.released().template, draft.engine)
    assert (refused.value.code, refused.value.details["slots"]) == ("no-default", ["belt"])


def test_naming_the_engine_lists_what_is_possible_and_why_the_rest_is_not(draft: Conversion) -> None:
    draft.rule("no-iron", "never", {"name": "housing", "values": ["iron"]})
    draft.released()
    (found,) = conversions_for(draft.engine)
    assert tuple(found) == (draft.template, False, "no-iron says why.", None)
    aluminium = engine("OM-3B")
    aluminium.attributes.update(value="aluminium")
    (found,) = conversions_for(aluminium)
    assert (found.possible, found.reason) == (False, f"It is not released for {aluminium}.")
    draft_only = Conversion(
        KitTemplate.objects.create(code="x", name="X", purpose="X"), draft.revision, aluminium
    )
    assert draft_only.template not in [found.template for found in conversions_for(aluminium)]


def test_a_swap_replaces_the_fill_and_counts_the_version_up(
    kit: CustomKit, belt: Conversion, counter: User
) -> None:
    swapped = swap(counter, kit, "bolt", belt.key("CB-35"))
    assert parts_in(swapped, "bolt") == {"CB-35": 6}
    assert swapped.version == 2
    assert AuditEntry.objects.filter(act="customising.swap", user=counter).count() == 1


def test_a_swap_to_what_does_not_go_is_allowed(kit: CustomKit, belt: Conversion, counter: User) -> None:
    assert judge_kit(swap(counter, kit, "pulley", belt.key("CP-141"))).verdict.value == "does not go"


@pytest.mark.parametrize(
    ("slot", "key", "code", "words"),
    [
        ("wheel", "own", "no-such-slot", "its slots are: pulley, spacer, bolt, pump, guard"),
        ("pulley", "parts:999999", "no-such-option", "What may: Corran CP-104 pulley; "),
        ("pulley", "own", "not-allowed-here", "has to come from the shop"),
        ("bolt", "reused", "not-allowed-here", "Never re-use .* bolt: they stretch when tightened"),
        ("spacer", "reused", "not-allowed-here", "cannot be re-used from the engine"),
        ("pulley", "left-out", "not-allowed-here", "pulley must be filled"),
    ],
)
def test_what_may_not_fill_a_slot_is_refused_with_the_reason(
    kit: CustomKit, counter: User, slot: str, key: str, code: str, words: str
) -> None:
    with pytest.raises(ActError, match=words) as refused:
        swap(counter, kit, slot, key)
    assert refused.value.code == code
    kit.refresh_from_db()
    assert kit.version == 1


@pytest.mark.parametrize(
    ("own", "code"), [({"boss": "79,5"}, "not-a-size"), ({"bosss": "79.5 mm"}, "no-such-feature")]
)
def test_a_size_that_cannot_be_read_is_refused_and_nothing_is_changed(
    kit: CustomKit, counter: User, own: dict[str, str], code: str
) -> None:
    with pytest.raises(ActError) as refused:
        swap(counter, kit, "pump", "own", own=own)
    assert refused.value.code == code
    assert parts_in(kit, "pump") == {"CW-7": 1}


def test_sizes_are_only_given_of_the_customers_own(kit: CustomKit, belt: Conversion, counter: User) -> None:
    with pytest.raises(ActError) as refused:
        swap(counter, kit, "pulley", belt.key("CP-120"), own={"hub": "40 mm"})
    assert refused.value.code == "not-own"


def test_own_sizes_are_forgotten_with_the_swap_away(kit: CustomKit, belt: Conversion, counter: User) -> None:
    kit = swap(counter, kit, "pump", "own", own={"boss": "79.5 mm"})
    assert kit.fills.get(slot__code="pump").own_features.get().lo == 7_950_000
    kit = swap(counter, kit, "pump", belt.key("CW-7"))
    assert not kit.fills.get(slot__code="pump").own_features.exists()


def stand_in(draft: Conversion, number: str, **more: Any) -> Substitution:
    """Four stronger bolts do the work of six."""
    draft.parts[number] = part(number, "bolt", "3.00", length="29.8..30.0 mm")
    return Substitution.objects.create(
        slot=draft.slots["bolt"],
        standard=draft.parts["CB-30"],
        stand_in=draft.parts[number],
        **{"takes": 2, "replaces": 3, **more},
    )


@pytest.mark.parametrize(("takes", "replaces", "quantity"), [(2, 3, 4), (1, 4, 2), (2, 1, 12), (1, 1, 6)])
def test_a_stand_in_comes_at_its_ratio_rounded_up(
    draft: Conversion, counter: User, takes: int, replaces: int, quantity: int
) -> None:
    stand_in(draft, "CB-31", takes=takes, replaces=replaces)
    kit = open_kit(counter, draft.released().template, draft.engine)
    assert parts_in(swap(counter, kit, "bolt", draft.key("CB-31")), "bolt") == {"CB-31": quantity}


def test_a_stand_in_for_another_engine_is_not_offered(draft: Conversion, counter: User) -> None:
    stand_in(draft, "CB-31").engines.add(engine("OM-3B"))
    kit = open_kit(counter, draft.released().template, draft.engine)
    with pytest.raises(ActError, match="Nothing called"):
        swap(counter, kit, "bolt", draft.key("CB-31"))


@pytest.mark.parametrize("who", ["counter", "customer"])
def test_a_stand_in_that_somebody_must_agree_to_waits_for_the_agreement(
    draft: Conversion, counter: User, who: str
) -> None:
    stand_in(draft, "CB-31", agreement=who, note="Stronger bolts, fewer of them.")
    kit = open_kit(counter, draft.released().template, draft.engine)
    with pytest.raises(ActError, match=f"needs the {who} to agree. Stronger bolts") as refused:
        swap(counter, kit, "bolt", draft.key("CB-31"), agreed="  ")
    assert refused.value.code == "agreement-needed"
    kit = swap(counter, kit, "bolt", draft.key("CB-31"), agreed="Mrs Venn, by phone, today")
    assert kit.fills.get(slot__code="bolt").agreed == "Mrs Venn, by phone, today"


def test_a_part_selected_by_its_size_appears_by_itself(draft: Conversion, counter: User) -> None:
    spacer = draft.parts["CS-32"].category
    draft.candidate(
        "spacer",
        rank=9,
        category=spacer,
        feature=draft.revision.checks.get(code="belt-plane").terms.get(slot=draft.slots["spacer"]).feature,
        lo=200_000,
        hi=400_000,
    )
    kit = open_kit(counter, draft.released().template, draft.engine)
    draft.parts |= {n: part(n, "spacer", thick=size) for n, size in (("CS-25", "2.5 mm"), ("CS-99", "9 mm"))}
    draft.parts["CS-0"] = part("CS-0", "spacer")
    assert parts_in(swap(counter, kit, "spacer", draft.key("CS-25")), "spacer") == {"CS-25": 1}
    assert parts_in(swap(counter, kit, "spacer", draft.key("CS-0")), "spacer") == {"CS-0": 1}
    with pytest.raises(ActError, match="Nothing called"):
        swap(counter, kit, "spacer", draft.key("CS-99"))


def test_a_screen_that_shows_an_earlier_version_is_told_so(
    kit: CustomKit, belt: Conversion, counter: User
) -> None:
    swap(counter, kit, "pulley", belt.key("CP-120"), version=1)
    with pytest.raises(Conflict) as refused:
        swap(counter, kit, "pump", "own", version=1)
    assert refused.value.code == "version-moved-on"
    assert parts_in(kit, "pump") == {"CW-7": 1}


def test_a_kit_stays_on_the_revision_that_it_was_opened_on(
    kit: CustomKit, belt: Conversion, counter: User
) -> None:
    TemplateRevision.objects.filter(pk=belt.revision.pk).update(state="withdrawn")
    assert swap(counter, kit, "pulley", belt.key("CP-120")).revision == belt.revision
    assert Slot.objects.filter(fills__kit=kit).count() == 5


def chosen_in(kit: CustomKit) -> set[str]:
    return set(kit.fills.filter(chosen=True).values_list("slot__code", flat=True))


def test_a_candidate_is_fitted_together_with_what_follows_from_it(
    kit: CustomKit, belt: Conversion, counter: User
) -> None:
    swaps, follows = {"pulley": belt.key("CP-141")}, {"spacer": belt.key("CS-22")}
    kit = swap_together(counter, kit, swaps, follows=follows, version=1)
    assert (parts_in(kit, "pulley"), parts_in(kit, "spacer")) == ({"CP-141": 1}, {"CS-22": 1})
    assert (chosen_in(kit), kit.version) == ({"pulley"}, 2)
    assert judge_kit(kit).verdict.value == "goes together"


def test_of_several_swaps_all_are_made_or_none(kit: CustomKit, belt: Conversion, counter: User) -> None:
    with pytest.raises(ActError) as refused:
        swap_together(counter, kit, {"pulley": belt.key("CP-141")}, follows={"spacer": "reused"})
    assert refused.value.code == "not-allowed-here"
    kit.refresh_from_db()
    assert (parts_in(kit, "pulley"), chosen_in(kit), kit.version) == ({"CP-104": 1}, set(), 1)


def test_swapping_together_on_an_old_screen_is_refused(
    kit: CustomKit, belt: Conversion, counter: User
) -> None:
    swap(counter, kit, "pulley", belt.key("CP-120"))
    with pytest.raises(Conflict):
        swap_together(counter, kit, {"bolt": belt.key("CB-35")}, version=1)
    with pytest.raises(Conflict):
        let_follow(counter, kit, "pulley", version=1)
    assert chosen_in(kit) == {"pulley"}


def test_what_follows_with_an_agreement_waits_for_it(draft: Conversion, counter: User) -> None:
    stand_in(draft, "CB-31", agreement="customer")
    kit = open_kit(counter, draft.released().template, draft.engine)
    swaps, follows = {"pulley": draft.key("CP-120")}, {"bolt": draft.key("CB-31")}
    with pytest.raises(ActError) as refused:
        swap_together(counter, kit, swaps, follows=follows)
    assert (refused.value.code, refused.value.details["slot"]) == ("agreement-needed", "bolt")
    kit = swap_together(counter, kit, swaps, follows=follows, agreed="Mrs Venn, today")
    assert kit.fills.get(slot__code="bolt").agreed == "Mrs Venn, today"


def test_insisting_on_what_is_fitted_keeps_its_sizes_and_letting_it_follow_too(
    kit: CustomKit, counter: User
) -> None:
    kit = swap(counter, kit, "pump", "own", own={"boss": "79.5 mm"})
    for let, insisted in ((True, set[str]()), (False, {"pump"})):
        kit = let_follow(counter, kit, "pump") if let else swap_together(counter, kit, {"pump": "own"})
        assert chosen_in(kit) == insisted
        assert kit.fills.get(slot__code="pump").own_features.get().lo == 7_950_000
    assert AuditEntry.objects.filter(act="customising.let_follow", user=counter).count() == 1


def test_only_a_slot_of_the_kit_can_follow(kit: CustomKit, counter: User) -> None:
    with pytest.raises(ActError) as refused:
        let_follow(counter, kit, "wheel")
    assert refused.value.code == "no-such-slot"
