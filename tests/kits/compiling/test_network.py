"""Whole answers of the network are the kits that judging finds to go, at the same price."""

from decimal import Decimal

import pytest

from kits.models import PartFeature, ShopWork
from kits.reading import read_conversion
from tests.kits.builders import Conversion, category, feature, kind, mm

from .kits import Networked, every_kit

pytestmark = pytest.mark.django_db


def agrees(draft: Conversion) -> dict[str, int]:
    """Every kit there can be, by network and by judging; how many of each kind there were."""
    networked = Networked.of(read_conversion(draft.revision, draft.engine))
    seen: dict[str, int] = {}
    for kit in every_kit(networked.fillings):
        by_judging = networked.judged(kit)
        assert networked.said(kit) == by_judging, {i: filling.key for i, filling in kit.items()}
        seen[by_judging[0]] = seen.get(by_judging[0], 0) + 1
    return seen


@pytest.mark.main_job
def test_every_kit_of_a_conversion_is_as_judging_has_it(draft: Conversion) -> None:
    seen = agrees(draft)
    assert set(seen) == {"goes", "measure first", "does not go"}
    assert sum(seen.values()) == 4 * 2 * 2 * 3 * 2


def test_of_two_works_on_one_feature_the_larger_is_done_and_paid_once(draft: Conversion) -> None:
    # The belt plane wants the hub of CP-120 at 40.08 mm (0.34 mm off), this one at 40.05 mm (0.37 mm).
    draft.check("hub-room", "3.53", None, draft.term(1, None, "plane"), draft.term(-1, "pulley", "hub"))
    assert agrees(draft)["goes"] > 0


def test_a_work_that_spoils_another_check_leaves_no_kit(draft: Conversion) -> None:
    draft.check("hub-web", "40.20", None, draft.term(1, "pulley", "hub"), draft.term(-1, "guard", "web"))
    agrees(draft)


def test_works_on_two_parts_of_one_check_are_told_apart(draft: Conversion) -> None:
    PartFeature.objects.filter(part=draft.parts["CS-22"]).update(**feature("3.40..3.42 mm"))
    ShopWork.objects.create(
        code="face-spacer", name="Face the spacer", category=category("spacer"), feature=kind("thick"),
        lowers=True, most=mm("0.60"), keeps=mm("0.01"), price=Decimal("9.00"), minutes=10, done_by="bench",
    )  # fmt: skip
    draft.check("spacer-room", None, "3.30", draft.term(1, "spacer", "thick"))
    agrees(draft)


def test_rules_and_unknown_attributes_are_in_the_network(draft: Conversion) -> None:
    slots = draft.slots
    draft.rule("no-guard", "clashes", {"slot": slots["guard"], "name": "filled", "values": ["parts"]},
               {"slot": slots["pulley"], "name": "part", "values": ["CP120"]})  # fmt: skip
    draft.rule("long-bolt", "needs", {"slot": slots["pump"], "name": "filled", "values": ["own"]},
               {"slot": slots["bolt"], "name": "part", "values": ["CB35"], "side": "then"})  # fmt: skip
    draft.rule("if-old", "clashes", {"name": "series", "values": ["old"]},
               {"slot": slots["bolt"], "name": "part", "values": ["CB30"]})  # fmt: skip
    assert agrees(draft)["measure first"] > 0


def test_an_engine_that_the_kit_is_never_for_has_no_kit(draft: Conversion) -> None:
    draft.rule("no-iron", "never", {"name": "housing", "values": ["iron"]})
    assert set(agrees(draft)) == {"does not go"}
