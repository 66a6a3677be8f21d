"""A kit as it goes on paper."""

from decimal import Decimal

import pytest
from django.contrib.auth.models import User
from django.db import connection
from django.test.utils import CaptureQueriesContext

from kits.customising import open_kit, swap
from kits.expanding import expand, wants
from kits.models import CustomKit, FittingStep, Substitution
from kits.reading import read_kit
from tests.clerks import Clerk
from tests.kits.builders import Conversion, part

pytestmark = [pytest.mark.django_db, pytest.mark.main_job]


@pytest.fixture
def counter(clerk: Clerk) -> User:
    return clerk("counter")


def test_the_price_is_the_sum_of_its_lines(kit: CustomKit, belt: Conversion) -> None:
    found = expand(kit)
    assert [(line.part.number, line.quantity, line.unit_price) for line in found.lines] == [
        ("CP-104", 1, Decimal("60.00")),
        ("CS-32", 1, Decimal("4.00")),
        ("CB-30", 6, Decimal("1.50")),
        ("CW-7", 1, Decimal("310.00")),
        ("CG-2", 1, Decimal("25.00")),
    ]
    assert found.price == found.standard_price == Decimal("408.00")
    assert wants(found)[belt.parts["CB-30"].pk] == 6


def test_a_part_in_two_slots_is_wanted_for_both(draft: Conversion, counter: User) -> None:
    draft.slot("spare-bolt", "CB-30", quantity=2)
    kit = open_kit(counter, draft.released().template, draft.engine)
    assert wants(expand(kit))[draft.parts["CB-30"].pk] == 8


def test_what_was_read_of_a_kit_is_not_read_again(kit: CustomKit, belt: Conversion, counter: User) -> None:
    kit = swap(counter, kit, "pulley", belt.key("CP-120"))
    read = read_kit(kit)
    with CaptureQueriesContext(connection) as reading:
        read_kit(kit)
    with CaptureQueriesContext(connection) as alone:
        from_the_start = expand(kit)
    with CaptureQueriesContext(connection) as beside:
        assert expand(kit, read) == from_the_start
    assert len(beside) == len(alone) - len(reading) > 0


def test_a_work_has_its_amount_its_target_and_who_does_it(
    kit: CustomKit, belt: Conversion, counter: User
) -> None:
    found = expand(swap(counter, kit, "pulley", belt.key("CP-120")))
    (work,) = found.works
    assert (work.price, work.minutes, work.done_by) == (Decimal("45.00"), 30, "own bench")
    assert work.text == (
        "Face the hub: take up to 0.34 mm (0.0134 in) off pulley Corran CP-120 hub, "
        "to 40.06 to 40.10 mm (1.5772 to 1.5787 in). Done by own bench."
    )
    assert found.price == Decimal("408.00") - 60 + 55 + 45
    assert found.standard_price == Decimal("408.00")


def test_a_price_agreement_is_a_line_of_its_own(draft: Conversion, counter: User) -> None:
    draft.parts["CB-31"] = part("CB-31", "bolt", "3.00", length="29.8..30.0 mm")
    Substitution.objects.create(
        slot=draft.slots["bolt"],
        standard=draft.parts["CB-30"],
        stand_in=draft.parts["CB-31"],
        takes=2,
        replaces=3,
        pricing="same price",
    )
    kit = open_kit(counter, draft.released().template, draft.engine)
    found = expand(swap(counter, kit, "bolt", draft.key("CB-31")))
    assert found.adjustments == (
        ("bolt: Corran CB-31 bolt at the price of the standard part", Decimal("-3.00")),
    )
    assert found.price == found.standard_price


def test_steps_of_what_is_left_out_are_skipped_and_the_rest_numbered_on(
    kit: CustomKit, counter: User
) -> None:
    found = expand(swap(counter, kit, "guard", "left-out"))
    assert [(step.sequence, step.slot_code) for step in found.steps] == [(1, "pulley"), (2, "bolt"), (3, "")]


def test_a_torque_comes_with_its_source(kit: CustomKit) -> None:
    step = expand(kit).steps[1]
    assert (step.torque, step.torque_source) == ("25 Nm (Corran sheet 12)", "Corran sheet 12")


def test_a_step_without_a_torque_has_none(draft: Conversion, counter: User) -> None:
    FittingStep.objects.create(
        revision=draft.revision, sequence=9, text="Wipe it.", way_round="Flat side out."
    )
    kit = open_kit(counter, draft.released().template, draft.engine)
    last = expand(kit).steps[-1]
    assert (last.torque, last.way_round) == ("", "Flat side out.")


def test_the_paper_defers_to_the_manual_and_says_what_figures_assume(kit: CustomKit) -> None:
    cautions = " ".join(expand(kit).cautions)
    for words in (
        "manual comes first",
        "local codes",
        "licensed",
        "worst case of the stated bands, at 20 °C, with clean and deburred parts",
        "Turn the engine by hand before starting it.",
        "Never re-use the old bolt: they stretch when tightened",
    ):
        assert words in cautions


def test_what_must_never_be_re_used_is_listed(kit: CustomKit) -> None:
    assert expand(kit).never_reuse == (("bolt", "they stretch when tightened"),)


def test_the_customers_own_figures_are_not_vouched_for(kit: CustomKit, counter: User) -> None:
    found = expand(swap(counter, kit, "pump", "own", own={"boss": "79.5 mm"}))
    assert any("as the customer gave them" in caution for caution in found.cautions)
    assert not any(
        "as the customer gave them" in caution
        for caution in expand(swap(counter, kit, "pump", "reused")).cautions
    )
