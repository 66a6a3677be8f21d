"""The page of a made-up kit: what goes into one, how many could be made, made up and taken apart."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.urls import reverse

from inventory.models import Balance, Movement, Part
from tests.clerks import Clerk
from tests.shop.api.stages import Stages
from tests.shop.desks.conftest import At
from tests.shop.desks.reading import read, said
from tests.shop.small import SmallShop


@pytest.fixture
def stages(small_shop: SmallShop, clerk: Clerk) -> Stages:
    return Stages(small_shop, clerk)


def address(part: Part) -> str:
    return reverse("make-up", args=[part.pk])


def lying_in(part: Part, place: str) -> int:
    return sum(Balance.objects.filter(part=part, place__code=place).values_list("quantity", flat=True))


def test_it_says_how_many_and_what_is_scarcest(at: At, stages: Stages) -> None:
    answer = at("counter").get(address(stages.boxed()))
    assert "3 can be made up from the bins now. The scarcest is OR-40 pulley" in said(answer)
    assert "OR-8B bolt Orrin 2 10 10 5" in said(answer)
    assert read(answer).fields == []  # The counter may look, and no more.


def test_the_floor_makes_up_and_takes_apart(at: At, stages: Stages) -> None:
    part, browser = stages.boxed(), at("floor")
    form = {"do": "make_up", "pieces": "2", "place": "bench", "reference": "for the fair"}
    done = browser.post(address(part), form, follow=True)
    assert "Made up: 2 × OR-90, now in BENCH" in said(done)
    assert (lying_in(part, "BENCH"), lying_in(stages.shop.pulley, "A-1-1")) == (2, 1)
    form = {"do": "take_apart", "apart_pieces": "1", "apart_place": "BENCH", "apart_to": "A-1-1"}
    done = browser.post(address(part), form, follow=True)
    assert "Taken apart: 1 × OR-90; 3 components are in A-1-1 now" in said(done)
    assert (lying_in(part, "BENCH"), lying_in(stages.shop.pulley, "A-1-1")) == (1, 2)


def test_the_work_counts_in_what_it_is_worth(at: At, stages: Stages) -> None:
    part = stages.boxed()
    at("floor").post(address(part), {"do": "make_up", "pieces": "1", "place": "BENCH", "work_cost": "12.50"})
    went = Movement.objects.filter(act="make up").exclude(part=part)
    assert part.movements.get().value == sum(one.value for one in went) + Decimal("12.50")


@pytest.mark.parametrize(
    ("field", "typed", "refusal"),
    [
        ("pieces", "9", "Not enough to make it up"),
        ("pieces", "two", "write a whole number"),
        ("place", "Z-9", "There is no place 'Z-9' in the shop"),
        ("place", "SCRAP", "There is no place"),
        ("work_cost", "1,250", "with a point"),
        ("reference", "r" * 61, "write at most 60"),
        ("lots", "L\x00", "no label has"),
        ("lots", "L1", "is not tracked"),
    ],
)
def test_what_is_refused_is_said_on_top_and_kept(
    at: At, stages: Stages, field: str, typed: str, refusal: str
) -> None:
    part = stages.boxed()
    form = {"do": "make_up", "pieces": "1", "place": "BENCH", "reference": "S00099", field: typed}
    answer = at("floor").post(address(part), form)
    assert answer.status_code in (409, 422) and refusal in said(answer)
    kept = {one.name: one.value for one in read(answer).fields}
    assert all(kept[name] == form[name] for name in ("pieces", "place", "reference"))
    assert read(answer).faults == [] and not part.movements.exists()


def test_serials_of_the_kit_and_of_what_comes_out_are_asked_for(at: At, stages: Stages) -> None:
    part, browser, pump = stages.boxed(), at("floor"), stages.shop.pump
    part.makeup.create(component=pump, quantity=1)
    Part.objects.filter(pk=part.pk).update(tracking=Part.Tracking.SERIAL)
    form = {"do": "make_up", "pieces": "2", "place": "BENCH"}
    assert "give 2 serial numbers" in said(browser.post(address(part), form))
    browser.post(address(part), {**form, "lots": "B1\nB2"})
    form = {"do": "take_apart", "apart_pieces": "1", "apart_place": "BENCH", "apart_to": "A-1-2",
            "apart_lot": "b2"}  # fmt: skip
    refused = browser.post(address(part), form)
    assert "In made-up kits: 1 of N1, 1 of N2" in said(refused)
    assert {"apart_lot": "b2", "apart_to": "A-1-2"}.items() <= {
        one.name: one.value for one in read(refused).fields
    }.items()
    browser.post(address(part), {**form, f"lots-{pump.pk}": "N2"})
    assert str(Balance.objects.get(part=part, quantity=1).lot) == "B1"
    assert str(Balance.objects.get(part=pump, quantity=1).lot) == "N2"


def test_the_catalogue_takes_the_makeup_from_a_custom_kit(at: At, stages: Stages) -> None:
    part, kit = stages.boxed(), stages.kit()
    done = at("catalogue").post(address(part), {"do": "define", "kit": kit.number.lower()}, follow=True)
    assert "3 parts go into one OR-90 from now on" in said(done)
    assert dict(part.makeup.values_list("component__number", "quantity")) == {
        "OR-40": 1,
        "OR-7P": 1,
        "OR-8B": 4,
    }


@pytest.mark.parametrize("typed", ["K99999", "kit", "K", ""])
def test_a_kit_that_is_not_there_is_said_and_kept(at: At, stages: Stages, typed: str) -> None:
    part = stages.boxed()
    refused = at("catalogue").post(address(part), {"do": "define", "kit": typed})
    assert refused.status_code == 422 and part.makeup.count() == 2
    kept = {one.name: one.value for one in read(refused).fields}
    assert kept["kit"] == typed


def test_while_pieces_are_here_the_makeup_stays(at: At, stages: Stages) -> None:
    part = stages.boxed(made_up=1)
    assert "While pieces are here, it stays" in said(at("catalogue").get(address(part)))
    refused = at("catalogue").post(address(part), {"do": "define", "kit": stages.kit().number})
    assert refused.status_code == 409 and "take them apart" in said(refused)


@pytest.mark.parametrize(
    ("desk", "form"),
    [
        ("counter", {"do": "make_up", "pieces": "1", "place": "BENCH"}),
        ("catalogue", {"do": "make_up", "pieces": "1", "place": "BENCH"}),
        ("counter", {"do": "take_apart", "apart_pieces": "1", "apart_place": "BENCH", "apart_to": "A-1-1"}),
        ("floor", {"do": "define", "kit": ""}),
    ],
)
def test_each_act_is_its_own_desk_s(at: At, stages: Stages, desk: str, form: dict[str, str]) -> None:
    part = stages.boxed(made_up=1)
    wish = {**form, **({"kit": stages.kit().number} if "kit" in form else {})}
    assert at(desk).post(address(part), wish).status_code == 403
    assert part.stock.on_hand == lying_in(part, "BENCH") == 1


def test_the_part_page_leads_there_and_from_the_components(at: At, stages: Stages) -> None:
    part, browser = stages.boxed(), at("counter")
    assert address(part) in read(browser.get(reverse("part", args=[part.pk]))).links
    component = browser.get(reverse("part", args=[stages.shop.bolt.pk]))
    assert address(part) in read(component).links and "Goes into OR-90 boxed (2 in one)" in said(component)
    assert address(stages.shop.bolt) not in read(component).links
    catalogue = at("catalogue").get(reverse("part", args=[stages.shop.bolt.pk]))
    assert address(stages.shop.bolt) in read(catalogue).links


@pytest.mark.parametrize("desk", ["floor", "catalogue"])
def test_it_reads_well(at: At, stages: Stages, desk: str) -> None:
    for part in (stages.boxed(made_up=1), stages.shop.bolt):
        assert read(at(desk).get(address(part))).faults == []
