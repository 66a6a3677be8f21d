"""Kits as they went out, and what a new part may borrow of them."""

from datetime import date
from typing import Any

import pytest

from inventory.demand import borrowed, kits_sold
from inventory.models import Category, Demand, Part
from inventory.planning.demand import borrowed_means
from tests.inventory.builders import a_part
from tests.inventory.demand_rows import demand

pytestmark = [pytest.mark.django_db, pytest.mark.main_job]

MARCH, APRIL, JUNE = date(2031, 3, 17), date(2031, 4, 2), date(2031, 6, 1)


def of_kit(part: Part, reference: str, *, kits: int = 1, kit: str = "belt", **more: Any) -> Demand:
    return demand(part, **{"kind": "kit", "kit": kit, "kits": kits, "reference": reference} | more)


def in_category(code: str) -> Part:
    part = a_part()
    part.category = Category.objects.get_or_create(code=code, defaults={"name": code})[0]
    part.save()
    return part


def test_lines_of_one_reference_are_one_lot_of_kits() -> None:
    ring, bolt = a_part(), a_part()
    of_kit(ring, "S1/1", kits=2, quantity=2)
    of_kit(bolt, "S1/1", kits=2, quantity=6)
    of_kit(bolt, "S1/1", kits=2, quantity=2, first_choice=ring)
    of_kit(ring, "S1/2", kit="aside", day=APRIL, one_off=True)
    of_kit(bolt, "Q1/1", kind="lost", day=APRIL)
    demand(ring, reference="S1")
    first, lost, second = kits_sold(JUNE)
    assert (first.kit, first.reference, first.day, first.kits) == ("belt", "S1/1", MARCH, 2)
    assert first.parts == {ring.pk: 2, bolt.pk: 8} and not first.lost and not first.one_off
    assert (second.kit, second.one_off, second.parts) == ("aside", True, {ring.pk: 1})
    assert (lost.lost, lost.parts) == (True, {bolt.pk: 1})


def test_only_the_last_months_are_looked_at() -> None:
    ring = a_part()
    for day in (date(2029, 5, 31), date(2029, 6, 1), date(2031, 5, 31), JUNE):
        of_kit(ring, f"{day}", day=day)
    assert [kit.day for kit in kits_sold(JUNE)] == [date(2029, 6, 1), date(2031, 5, 31)]
    assert [kit.day for kit in kits_sold(JUNE, months=1)] == [date(2031, 5, 31)]


def test_kits_that_came_back_whole_were_not_sold() -> None:
    ring, bolt = a_part(), a_part()
    for reference in ("S1/1", "S2/1"):
        of_kit(ring, reference)
        of_kit(bolt, reference, quantity=4)
        of_kit(bolt, reference, quantity=4, kind="return", day=APRIL)
    of_kit(ring, "S2/1", kind="return", day=APRIL)
    (kit,) = kits_sold(JUNE)
    assert (kit.reference, kit.parts) == ("S1/1", {ring.pk: 1, bolt.pk: 4})


def test_a_new_part_is_thought_to_be_taken_as_often_as_the_others_that_stood_in() -> None:
    first, second, third, new = (in_category("pump") for _ in range(4))
    plate = in_category("plate")
    taken = [first] * 5 + [second] * 3 + [third] * 2
    for number, pump in enumerate(taken):
        of_kit(pump, f"S{number}/1", first_choice=None if pump == first else first)
        of_kit(plate, f"S{number}/1")
    ((part, kits, share, pieces),) = borrowed([new.pk], JUNE, months=10)
    assert (part, kits, share, pieces) == (new.pk, 1.0, 0.25, 1)
    # Taken already, its own share counts.
    assert borrowed([second.pk], JUNE, months=10) == [(second.pk, 1.0, 0.3, 1)]
    means = borrowed_means([new.pk, second.pk], borrowed([new.pk, second.pk], JUNE, months=10))
    assert means.tolist() == pytest.approx([0.25, 0.3])


def test_where_nothing_ever_stood_in_there_is_no_custom_to_borrow() -> None:
    bolt, new, stranger = in_category("bolt"), in_category("bolt"), in_category("hose")
    for number in range(4):
        of_kit(bolt, f"S{number}/1", quantity=8, kits=2)
    assert borrowed([new.pk, stranger.pk], JUNE) == [(new.pk, 8 / 24, 0.0, 4)]


def test_of_two_places_of_its_category_a_new_part_fills_one() -> None:
    inner, outer, other, new = (in_category("gasket") for _ in range(4))
    for number in range(4):
        of_kit(inner, f"S{number}/1")
        if number:
            of_kit(outer, f"S{number}/1")
        else:
            of_kit(other, f"S{number}/1", first_choice=outer)
    ((_, kits, share, pieces),) = borrowed([new.pk], JUNE, months=4)
    assert (kits, share, pieces) == (1.0, 0.125, 1)
