"""What is not to be bought any more gets no target that asks for it, offered still or not."""

from __future__ import annotations

from decimal import Decimal

import pytest

from inventory import targeting
from inventory.models import Alert, Offer, Part, Target
from tests.inventory.builders import a_part, today
from tests.inventory.targeting.shelves import the_shelves

pytestmark = [pytest.mark.django_db, pytest.mark.main_job]


def reckoned() -> None:
    targeting.go_on(targeting.begin(None, wanted=Decimal("0.9")))


def no_longer_offered(part: Part) -> Target:
    Offer.objects.filter(part=part).delete()
    reckoned()
    return Target.objects.get(part=part)


def test_a_superseded_part_that_nobody_offers_is_not_asked_for_for_ever() -> None:
    shop = the_shelves(kits=False)
    reckoned()
    old = shop.part("FILTER")
    a_part("FILTER 2").supersedes.create(old=old, since=today())
    target = no_longer_offered(old)
    assert (target.reorder_at, target.up_to) == (0, 0) and "Superseded by FILTER 2" in target.why
    assert not Alert.objects.filter(part=old, cleared_at=None).exists()


def test_what_runs_out_and_is_offered_no_more_is_sold_until_it_is_gone() -> None:
    shop = the_shelves(kits=False)
    reckoned()
    Part.objects.filter(pk=shop.part("FILTER").pk).update(standing=Part.Standing.RUN_OUT)
    target = no_longer_offered(shop.part("FILTER"))
    assert (target.reorder_at, target.up_to) == (0, 0) and "nobody offers it any more" in target.why


def test_what_goes_on_keeps_its_target_until_somebody_offers_it_again() -> None:
    shop = the_shelves(kits=False)
    reckoned()
    before = Target.objects.get(part=shop.part("FILTER"))
    target = no_longer_offered(shop.part("FILTER"))
    assert (target.reorder_at, target.up_to) == (before.reorder_at, before.up_to)


def test_of_a_part_superseded_twice_the_last_of_its_line_is_the_one_to_buy() -> None:
    shop = the_shelves(kits=False)
    second, third = a_part("FILTER 2"), a_part("FILTER 3")
    second.supersedes.create(old=shop.part("FILTER"), since=today())
    third.supersedes.create(old=second, since=today())
    reckoned()
    assert "Superseded by FILTER 3" in Target.objects.get(part=shop.part("FILTER")).why
