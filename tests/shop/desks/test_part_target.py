"""A part's target on its plan: set by hand, left to the runs; and orders that will not come again."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest

from inventory import targeting
from inventory.models import Part, Target
from tests.clerks import Clerk
from tests.shop.desks.conftest import At
from tests.shop.desks.planned import asked, plan, sold_for_a_year
from tests.shop.desks.reading import read, said
from tests.shop.small import SmallShop

REFUSED = 422
FORM = {"do": "set", "reorder_at": "6", "up_to": "20", "most": "", "why": "Boats come in spring."}
WANTED = Decimal("0.95")


@pytest.fixture
def bolt(small_shop: SmallShop) -> Part:
    return small_shop.bolt


class TestTarget:
    def test_it_is_set_by_hand(self, at: At, bolt: Part) -> None:
        answer = at("buying").post(plan(bolt, "?every=week"), FORM, follow=True)
        assert answer.redirect_chain == [(f"{plan(bolt, '?every=week')}#target", 303)]
        assert "No run will change it" in said(answer) and "Boats come in spring." in said(answer)
        target = Target.objects.get(part=bolt)
        assert (target.reorder_at, target.up_to, target.most) == (6, 20, None)
        assert target.set_by == Target.SetBy.HAND

    @pytest.mark.parametrize(
        ("field", "typed", "refusal"),
        [
            ("up_to", "6", "orders nothing"),
            ("most", "12", "The shelf takes 12"),
            ("why", " ", "The reason is missing"),
            ("reorder_at", "some", "write a whole number"),
        ],
    )
    def test_what_cannot_be_is_said_and_kept(
        self, at: At, bolt: Part, field: str, typed: str, refusal: str
    ) -> None:
        answer = at("buying").post(plan(bolt), {**FORM, field: typed})
        assert answer.status_code == REFUSED and refusal in said(answer)
        fields = {one.name: one.value for one in read(answer).fields}
        assert fields[field] == typed and fields["up_to" if field != "up_to" else "reorder_at"] in ("20", "6")
        assert not Target.objects.exists()

    def test_the_counter_may_not_set_it(self, at: At, bolt: Part) -> None:
        assert at("counter").post(plan(bolt), FORM).status_code == 403
        assert not Target.objects.exists()

    def test_it_is_left_to_the_runs_and_their_reasons_are_told(
        self, at: At, small_shop: SmallShop, clerk: Clerk
    ) -> None:
        bolt, browser = small_shop.bolt, at("buying")
        sold_for_a_year(bolt)
        browser.post(plan(bolt), FORM)
        early = browser.post(plan(bolt), {"do": "leave"})
        assert early.status_code == 409 and "No run has reckoned this part yet" in said(early)
        targeting.go_on(targeting.begin(clerk("buying"), wanted=WANTED))
        page = said(browser.get(plan(bolt)))
        assert "A run would order at" in page and "Pell Stores" in page and "packs of 1" in page
        done = browser.post(plan(bolt), {"do": "leave"}, follow=True)
        assert "The next run will reckon it" in said(done)
        assert Target.objects.get(part=bolt).set_by == Target.SetBy.PART
        targeting.go_on(targeting.begin(clerk("buying"), wanted=WANTED))
        answer = browser.get(plan(bolt))
        assert "One more" in said(answer) and "Lead time" in said(answer) and "a month" in said(answer)
        assert read(answer).faults == []

    def test_nothing_is_left_to_runs_without_a_target(self, at: At, bolt: Part) -> None:
        answer = at("buying").post(plan(bolt), {"do": "leave"})
        assert answer.status_code == REFUSED and "There is no target" in said(answer)

    def test_figures_of_an_old_run_may_lack_anything(self, at: At, bolt: Part) -> None:
        figures: dict[str, Any] = {
            "demand": None,
            "one_more": {"money": "much"},
            "lead": [],
            "why": None,
            "money": "NaN",
        }
        Target.objects.create(part=bolt, reorder_at=1, up_to=2, why="So.", figures=figures)
        assert at("buying").get(plan(bolt)).status_code == 200


class TestLargeOrders:
    def test_one_is_marked_as_one_off_and_not(self, at: At, bolt: Part) -> None:
        large = asked(bolt, 60, reference="S00009")
        form = {"do": "one_off", "demand": str(large.pk), "is_one_off": "yes"}
        done = at("buying").post(plan(bolt), form, follow=True)
        assert "will not come again" in said(done) and "one-off" in said(done)
        large.refresh_from_db()
        assert large.one_off
        again = at("buying").post(plan(bolt), {**form, "is_one_off": "no"}, follow=True)
        large.refresh_from_db()
        assert "counts like any other" in said(again) and not large.one_off

    def test_only_of_this_part(self, at: At, small_shop: SmallShop) -> None:
        large = asked(small_shop.pulley, 60)
        form = {"do": "one_off", "demand": str(large.pk), "is_one_off": "yes"}
        assert at("buying").post(plan(small_shop.bolt), form).status_code == 404
