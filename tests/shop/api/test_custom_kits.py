"""Custom kits over HTTP: opened, read, swapped, judged, expanded."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest

from inventory.models import Part
from kits.models import Candidate, CandidatePart, Engine, Slot, Substitution, TemplateRevision
from kits.releasing import release
from tests.clerks import Clerk
from tests.shop.api.stages import Stages
from tests.shop.api.talking import Api, problem
from tests.shop.small import SmallShop


@pytest.fixture
def wide(small_shop: SmallShop, clerk: Clerk) -> Part:
    """A second pulley, dearer, which the customer has to agree to."""
    standard = small_shop.pulley
    wide = Part.objects.create(
        maker=standard.maker,
        number="OR-41",
        name="wide pulley",
        category=standard.category,
        price=Decimal(55),
    )
    revision = small_shop.revision
    TemplateRevision.objects.filter(pk=revision.pk).update(state="draft", released_at=None)
    slot = Slot.objects.get(revision=revision, code="pulley")
    CandidatePart.objects.create(candidate=Candidate.objects.create(slot=slot, rank=2), part=wide)
    Substitution.objects.create(slot=slot, standard=standard, stand_in=wide, agreement="customer")
    release(clerk("catalogue"), TemplateRevision.objects.get(pk=revision.pk))
    return wide


def test_a_kit_is_opened_with_every_default(small_shop: SmallShop, api: Api) -> None:
    kit = api("counter").made("custom-kits/", {"template": "belt-pump", "engine": "T2", "note": "for Ines"})
    assert kit["number"] == f"K{kit['id']:05d}"
    assert (kit["template"], kit["revision"], kit["engine"], kit["version"]) == ("belt-pump", 1, "T2", 1)
    assert [(fill["slot"], fill["how"]) for fill in kit["fills"]] == [
        ("pulley", "parts"),
        ("pump", "parts"),
        ("bolts", "parts"),
    ]
    assert kit["fills"][2]["parts"][0]["part"]["number"] == "OR-8B"
    assert kit["fills"][2]["parts"][0]["quantity"] == 4


def test_a_kit_is_read_by_id_and_by_its_printed_number(stages: Stages, api: Api) -> None:
    kit = stages.kit()
    by_id = api("floor").read(f"custom-kits/{kit.pk}/")
    assert api("floor").read(f"custom-kits/{kit.number}/") == by_id
    problem(api("floor").get(f"custom-kits/Q{kit.pk:05d}/"), 404, "not-found")


def test_no_kit_is_opened_where_the_conversion_is_not_released(small_shop: SmallShop, api: Api) -> None:
    family = small_shop.engine.family
    Engine.objects.create(family=family, code="T1", name="single", built_from=1978)
    body = {"template": "belt-pump", "engine": "T1"}
    document = problem(api("counter").post("custom-kits/", body), 422, "no-such-conversion")
    assert document["offered"] == []


def test_candidates_carry_verdict_price_stock_and_date(stages: Stages, wide: Part, api: Api) -> None:
    slots = api("counter").read(f"custom-kits/{stages.kit().pk}/candidates/")
    pulley = next(slot for slot in slots if slot["code"] == "pulley")
    current, other = pulley["options"]
    assert pulley["current"] == current["key"] and current["is_current"] and current["is_default"]
    assert (current["free"], current["price_difference"], current["verdict"]) == (3, "0.00", "goes together")
    assert current["parts"] == [{"id": stages.shop.pulley.pk, "quantity": 1}]
    assert (other["key"], other["price_difference"]) == (f"parts:{wide.pk}", "15.00")
    assert (other["free"], other["ready_on"], other["agreement"]) == (0, None, "customer")


def test_a_swap_answers_the_kit_as_it_is_then(stages: Stages, wide: Part, api: Api) -> None:
    kit = stages.kit()
    body = {"slot": "pulley", "key": f"parts:{wide.pk}", "agreed": "Ines, by phone", "version": 1}
    swapped = api("counter").made(f"custom-kits/{kit.pk}/swap/", body)
    assert swapped["version"] == 2
    assert swapped["fills"][0]["parts"][0]["part"]["number"] == "OR-41"
    assert swapped["fills"][0]["agreed"] == "Ines, by phone"
    assert swapped == api("counter").read(f"custom-kits/{kit.pk}/")


@pytest.mark.parametrize(
    ("change", "status", "code", "member"),
    [
        ({"slot": "mast"}, 422, "no-such-slot", "slots"),
        ({"key": "parts:0"}, 422, "no-such-option", "options"),
        ({"key": "left-out"}, 422, "not-allowed-here", "slot"),
        ({"slot": "bolts", "key": "reused"}, 422, "not-allowed-here", "slot"),
        ({}, 422, "agreement-needed", "who"),
        ({"agreed": "Ines", "version": 7}, 409, "version-moved-on", "seen"),
    ],
)
def test_a_swap_that_is_refused_says_what_to_do(
    stages: Stages, wide: Part, api: Api, change: dict[str, Any], status: int, code: str, member: str
) -> None:
    kit = stages.kit()
    body = {"slot": "pulley", "key": f"parts:{wide.pk}", **change}
    document = problem(api("counter").post(f"custom-kits/{kit.pk}/swap/", body), status, code)
    assert member in document
    kit.refresh_from_db()
    assert kit.version == 1


def test_the_expansion_lists_parts_steps_and_prices(stages: Stages, api: Api) -> None:
    shown = api("counter").read(f"custom-kits/{stages.kit().pk}/expansion/")
    assert (shown["price"], shown["standard_price"]) == ("166.00", "166.00")
    assert [(line["part"]["number"], line["quantity"], line["unit_price"]) for line in shown["lines"]] == [
        ("OR-40", 1, "40.00"),
        ("OR-7P", 1, "120.00"),
        ("OR-8B", 4, "1.50"),
    ]
    assert shown["steps"][0]["way_round"] == "Hub towards the engine."
    assert {"slot": "Bolts", "why": "They stretch once."} in shown["never_reuse"]
    assert any("manual" in caution for caution in shown["cautions"])
    assert shown["judgement"]["verdict"] == "goes together"


def test_the_verdict_is_a_word_with_reasons(stages: Stages, api: Api) -> None:
    shown = api("counter").read(f"custom-kits/{stages.kit().pk}/verdict/")
    assert shown == {"verdict": "goes together", "reasons": [], "findings": [], "rules": [], "notes": []}
