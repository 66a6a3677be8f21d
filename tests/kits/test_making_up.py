"""What goes into a made-up kit is what a custom kit takes, if that goes together without any work."""

import re
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse

from inventory.acting import ActError, Conflict, NotAllowed
from inventory.models import Makeup, Part, Stock
from kits.customising import swap
from kits.making_up import makeup_from
from kits.models import CustomKit
from tests.clerks import Clerk
from tests.inventory.builders import put
from tests.kits.builders import Conversion, part

pytestmark = [pytest.mark.django_db, pytest.mark.main_job]


@pytest.fixture
def catalogue(clerk: Clerk) -> User:
    return clerk("catalogue")


@pytest.fixture
def boxed(belt: Conversion) -> Part:
    return part("CK-1", "kit", "399.00")


def test_the_makeup_is_what_the_kit_takes_and_replaces_what_was(
    catalogue: User, kit: CustomKit, boxed: Part, belt: Conversion
) -> None:
    Makeup.objects.create(part=boxed, component=belt.parts["CP-120"], quantity=9)
    makeup_from(catalogue, boxed, kit)
    assert dict(boxed.makeup.values_list("component__number", "quantity")) == {
        "CP-104": 1,
        "CS-32": 1,
        "CB-30": 6,
        "CW-7": 1,
        "CG-2": 1,
    }


def test_a_kit_that_needs_work_is_refused_and_says_which(
    catalogue: User, kit: CustomKit, boxed: Part, belt: Conversion, clerk: Clerk
) -> None:
    worked = swap(clerk("counter"), kit, "pulley", belt.key("CP-120"))
    with pytest.raises(ActError, match="Face the hub") as refused:
        makeup_from(catalogue, boxed, worked)
    assert refused.value.code == "needs-work" and not boxed.makeup.exists()


def test_it_is_not_changed_while_made_up_pieces_are_here(
    catalogue: User, kit: CustomKit, boxed: Part
) -> None:
    Stock.objects.create(part=boxed, on_hand=1)
    with pytest.raises(Conflict, match="take them apart"):
        makeup_from(catalogue, boxed, kit)


def test_nothing_is_made_up_of_itself(catalogue: User, kit: CustomKit, boxed: Part, belt: Conversion) -> None:
    Makeup.objects.create(part=belt.parts["CW-7"], component=boxed, quantity=1)
    for made in (boxed, belt.parts["CW-7"]):
        with pytest.raises(ActError) as refused:
            makeup_from(catalogue, made, kit)
        assert refused.value.code == "made-of-itself"


def test_it_is_the_catalogue_desk_s(clerk: Clerk, kit: CustomKit, boxed: Part) -> None:
    with pytest.raises(NotAllowed):
        makeup_from(clerk("floor"), boxed, kit)


@pytest.fixture
def owner(client: Client) -> Client:
    client.force_login(User.objects.create_superuser("owner"))
    return client


def test_makeup_and_costing_are_fixed_once_pieces_are_here(owner: Client, boxed: Part) -> None:
    page = reverse("admin:inventory_part_change", args=[boxed.pk])
    assert {"makeup-0-component", "costing"} <= fields(owner.get(page))
    put(boxed, 1)
    assert {"makeup-0-component", "costing"} & fields(owner.get(page)) == set()


def fields(page: Any) -> set[str]:
    """The names of what can be filled in."""
    text = page.content.decode().replace("makeup-__prefix__", "makeup-0")
    return set(re.findall(r'name="([^"]+)"', text))
