"""The plan of one part: what was asked for and will be, the stock to come, the target, and its acts."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

import pytest
from django.urls import reverse
from django.utils import timezone

from inventory import alerting, targeting
from inventory.models import MonthlyDemand, Offer, Part, Supersession, Target
from tests.clerks import Clerk
from tests.shop.desks.conftest import At
from tests.shop.desks.planned import Kind, asked, days_ago, plan, sold_for_a_year, table
from tests.shop.desks.reading import read, said
from tests.shop.desks.tracing import sticks_out, titled
from tests.shop.small import SmallShop
from tests.shop.test_ordering import buy


@pytest.fixture
def bolt(small_shop: SmallShop) -> Part:
    return small_shop.bolt


class TestRights:
    def test_it_is_for_whoever_buys(self, at: At, bolt: Part) -> None:
        files = [reverse("part-plan-file", args=[bolt.pk, what]) for what in ("history", "projection")]
        for address in (plan(bolt), *files, reverse("part-plan-drawing", args=[bolt.pk, "projection"])):
            assert at("counter").get(address).status_code == 403
            assert at("buying").get(address).status_code == 200

    def test_only_they_find_the_way_from_the_parts_sheet(self, at: At, bolt: Part) -> None:
        sheet = reverse("part", args=[bolt.pk])
        assert plan(bolt) in read(at("buying").get(sheet)).links
        assert plan(bolt) not in read(at("counter").get(sheet)).links

    def test_a_part_that_is_not_there_is_not_found(self, at: At) -> None:
        assert at("buying").get(reverse("part-plan", args=[999_999])).status_code == 404


class TestStates:
    def test_without_history_target_and_offer_it_says_so(self, at: At, small_shop: SmallShop) -> None:
        answer = at("buying").get(plan(small_shop.pump))
        page = said(answer)
        assert "Nothing was ever asked for" in page and "no target" in page and "Nobody offers it" in page
        assert "Nothing is on order" in page and read(answer).faults == []

    def test_a_superseded_part_points_to_what_to_buy(self, at: At, small_shop: SmallShop) -> None:
        old, new = small_shop.bolt, small_shop.pulley
        asked(old, 7)
        Supersession.objects.create(old=old, new=new, since=days_ago(10))
        answer = at("buying").get(plan(old))
        assert "Superseded by OR-40" in said(answer) and plan(new) in read(answer).links
        assert "its successor's plan has it" in said(answer)
        rows = table(at("buying").get(reverse("part-plan-file", args=[new.pk, "history"])))
        assert sum(int(row["loose"]) for row in rows) == 7

    @pytest.mark.parametrize(
        ("standing", "words"),
        [(Part.Standing.RUN_OUT, "sold until gone"), (Part.Standing.ENDED, "no longer sold")],
    )
    def test_a_part_at_its_end_says_so(self, at: At, bolt: Part, standing: str, words: str) -> None:
        Part.objects.filter(pk=bolt.pk).update(standing=standing)
        sold_for_a_year(bolt)
        answer = at("buying").get(plan(bolt))
        assert words in said(answer) and read(answer).faults == []

    def test_an_open_alert_is_told(self, at: At, bolt: Part) -> None:
        Target.objects.create(part=bolt, reorder_at=50, up_to=90, why="For the season.")
        alerting.look_again([bolt.pk], timezone.now())
        page = said(at("buying").get(plan(bolt)))
        assert (
            "kits: Belt pump" in page
            and "below target" in page
            and "For the season." in page
            and "Order at 50, up to 90" in page
        )


class TestPast:
    @pytest.fixture(autouse=True)
    def _asked(self, small_shop: SmallShop) -> None:
        part = small_shop.bolt
        asked(part, 4, kind=Kind.KIT, kit="belt-pump", kits=1, reference="S00001/1")
        asked(part, 3)
        asked(part, 2, kind=Kind.WORK)
        asked(part, 30, one_off=True)
        asked(part, 5, first_choice=small_shop.pulley)
        asked(part, 6, kind=Kind.LOST)
        asked(part, 1, kind=Kind.RETURN)

    def row(self, at: At, part: Part, query: str = "") -> dict[str, str]:
        """The only period with something in it."""
        rows = table(at("buying").get(reverse("part-plan-file", args=[part.pk, "history"]) + query))
        (row,) = [row for row in rows if any(row[name] not in ("", "0") for name in list(row)[1:-1])]
        return row

    def test_every_sort_has_a_column_of_its_own(self, at: At, bolt: Part) -> None:
        row = self.row(at, bolt)
        sorts = ("kit", "loose", "work", "one_off", "stand_in", "lost", "return", "before")
        assert [row[sort] for sort in sorts] == ["4", "3", "2", "30", "5", "6", "1", "0"]
        assert row["from"] == days_ago(40).replace(day=1).isoformat()
        assert row["counts_as"] == "49"  # All of it, less what came back.

    @pytest.mark.parametrize(
        ("without", "column", "counts"),
        [("lost", "lost", 43), ("one-offs", "one_off", 19), ("stand-ins", "stand_in", 44)],
    )
    def test_each_may_be_left_out(self, at: At, bolt: Part, without: str, column: str, counts: int) -> None:
        row = self.row(at, bolt, f"?without={without}")
        assert row[column] == "0" and row["counts_as"] == str(counts)
        answer = at("buying").get(plan(bolt, f"?without={without}"))
        assert "Left out of the columns" in said(answer)
        files = [link for link in read(answer).links if "history.csv" in link]
        assert files and all(link.endswith(f"?without={without}") for link in files)

    def test_weeks_begin_on_mondays(self, at: At, bolt: Part) -> None:
        row = self.row(at, bolt, "?every=week")
        day = date.fromisoformat(row["from"])
        assert day.weekday() == 0 and day <= days_ago(40) < day + timedelta(7) and row["kit"] == "4"

    def test_months_brought_along_are_a_sort_too(self, at: At, bolt: Part) -> None:
        month = days_ago(40).replace(day=1)
        MonthlyDemand.objects.create(part=bolt, month=month, quantity=9)
        assert self.row(at, bolt)["before"] == "9"
        weeks = table(
            at("buying").get(reverse("part-plan-file", args=[bolt.pk, "history"]) + "?every=week&back=12")
        )
        assert sum(int(week["before"]) for week in weeks) == 9

    def test_drawing_and_table_tell_the_same(self, at: At, bolt: Part) -> None:
        answer = at("buying").get(plan(bolt))
        assert read(answer).faults == []
        for words in ("out in a kit", "as a stand-in", "asked for and not had", "one-off order", "came back"):
            assert words in said(answer)
        drawing = at("buying").get(reverse("part-plan-drawing", args=[bolt.pk, "history"]))
        assert drawing["Content-Type"].startswith("image/svg+xml")
        svg = drawing.content.decode()
        assert sticks_out(svg) == []
        assert "50 pieces were asked for and 1 came back" in titled(svg)[1]

    @pytest.mark.parametrize("query", ["?every=year&back=x", "?back=-3", "?without=all&every=%00"])
    def test_nonsense_is_left_aside(self, at: At, bolt: Part, query: str) -> None:
        assert at("buying").get(plan(bolt, query)).status_code == 200


class TestToCome:
    def test_the_forecast_follows_the_past(self, at: At, bolt: Part) -> None:
        sold_for_a_year(bolt)
        forecast = targeting.forecast_of(bolt.pk, timezone.localdate(), months=6)
        assert forecast is not None
        rows = table(at("buying").get(reverse("part-plan-file", args=[bolt.pk, "forecast"])))
        assert [row["start"] for row in rows] == [month.isoformat() for month in forecast.months]
        assert [float(row["mean"]) for row in rows] == pytest.approx(forecast.mean, abs=1e-3)
        assert [float(row["p90"]) for row in rows] == forecast.quantiles[90]
        assert "8 of 10 lie here" in at("buying").get(plan(bolt)).content.decode()

    def test_what_is_kept_leaves_and_what_is_ordered_comes(
        self, at: At, small_shop: SmallShop, clerk: Clerk
    ) -> None:
        order = buy(small_shop, clerk, bolt=40)
        due = order.lines.get().due
        rows = table(at("buying").get(reverse("part-plan-file", args=[small_shop.bolt.pk, "projection"])))
        by_day = {row["day"]: float(row["middle"]) for row in rows}
        assert by_day[timezone.localdate().isoformat()] == 10
        if due.isoformat() in by_day:
            assert by_day[due.isoformat()] == 50
        answer = at("buying").get(plan(small_shop.bolt))
        assert f"{order.number} from Pell Stores: 40" in said(answer)
        assert reverse("purchase", args=[order.pk]) in read(answer).links

    def test_it_says_when_it_runs_out(self, at: At, bolt: Part) -> None:
        sold_for_a_year(bolt, 9)
        answer = at("buying").get(plan(bolt))
        assert "As likely as not it has run out by" in said(answer) and "in 1 case of 10" in said(answer)

    def test_there_are_no_other_files(self, at: At, bolt: Part) -> None:
        for name in ("part-plan-file", "part-plan-drawing"):
            assert at("buying").get(reverse(name, args=[bolt.pk, "gossip"])).status_code == 404
        nothing = reverse("part-plan-drawing", args=[bolt.pk, "history"])
        assert at("buying").get(nothing).status_code == 404


def test_the_page_asks_no_more_when_more_is_going_on(
    at: At, small_shop: SmallShop, clerk: Clerk, django_assert_max_num_queries: Callable[[int], Any]
) -> None:
    part, browser = small_shop.bolt, at("buying")
    Offer.objects.filter(part=part).update(price=2)
    sold_for_a_year(part)
    browser.get(plan(part))
    counts = set()
    for _ in range(2):
        buy(small_shop, clerk, bolt=20)
        sold_for_a_year(part, 8)
        with django_assert_max_num_queries(45) as asked_for:
            browser.get(plan(part))
        counts.add(len(asked_for))
    assert len(counts) == 1
