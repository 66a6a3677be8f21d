"""The page of whole-kit targets: what a share costs, what would change, and the runs that set it."""

from __future__ import annotations

import csv
from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from inventory import targeting
from inventory.models import Target, TargetRun
from shop.desks.planning import kit_targets
from tests.clerks import Clerk
from tests.inventory.targeting.shelves import Shelves, the_shelves
from tests.shop.desks.conftest import At
from tests.shop.desks.reading import read, said
from tests.shop.desks.tracing import sticks_out, titled

PAGE = "/buying/kits/"
LOOK = f"{PAGE}?look=1&wanted=90&budget="
WANTED = Decimal("0.9")
Stage = TargetRun.Stage


def table(answer: Any) -> list[dict[str, str]]:
    return list(csv.DictReader(answer.getvalue().decode().splitlines()))


def drawings(answer: Any) -> list[str]:
    parts = answer.content.decode().split('<svg xmlns="http://www.w3.org/2000/svg"')[1:]
    return ['<svg xmlns="http://www.w3.org/2000/svg"' + part.split("</svg>")[0] + "</svg>" for part in parts]


@pytest.fixture
def buying(at: At) -> Client:
    return at("buying")


@pytest.fixture
def shelves(db: None) -> Shelves:
    return the_shelves()


@pytest.fixture
def reckoned(shelves: Shelves, clerk: Clerk) -> TargetRun:
    return targeting.go_on(targeting.begin(clerk("buying"), wanted=WANTED))


class TestRights:
    def test_it_is_for_whoever_buys(self, at: At, buying: Client) -> None:
        for address in (PAGE, f"{PAGE}targets.csv", f"{PAGE}frontier.svg"):
            assert at("counter").get(address).status_code == 403
        assert buying.get(PAGE).status_code == 200

    def test_the_counter_starts_no_run(self, at: At) -> None:
        assert at("counter").post(PAGE, {"do": "start", "wanted": "95"}).status_code == 403
        assert not TargetRun.objects.exists()


class TestStates:
    def test_before_any_run_it_says_what_to_do(self, buying: Client) -> None:
        answer = buying.get(PAGE)
        assert "No run has reckoned kits yet" in said(answer) and "None yet." in said(answer)
        assert read(answer).faults == [] and drawings(answer) == []
        assert buying.get(f"{PAGE}frontier.svg").status_code == 404

    def test_a_shop_that_sells_no_kits_is_told(self, buying: Client) -> None:
        the_shelves(kits=False)
        answer = buying.get(LOOK)
        assert "No kit was sold in two years" in said(answer) and read(answer).faults == []

    def test_a_failed_run_says_why(self, buying: Client) -> None:
        TargetRun.objects.create(
            started_at=timezone.now(), ended_at=timezone.now(), wanted=WANTED, stage=Stage.FAILED,
            note="Only 80.0% can be.",
        )  # fmt: skip
        assert "stopped: Only 80.0% can be." in said(buying.get(PAGE))

    @pytest.mark.parametrize(
        ("query", "refusal"),
        [
            ("wanted=soon", "such as 95 or 97.5"),
            ("wanted=100", "such as 95 or 97.5"),
            ("wanted=0", "such as 95 or 97.5"),
            ("wanted=95&budget=much", "The budget is"),
            ("wanted=&budget=", "Say how many"),
        ],
    )
    def test_what_cannot_be_wanted_is_said_and_kept(self, buying: Client, query: str, refusal: str) -> None:
        for address in (f"{PAGE}?look=1&{query}", f"{PAGE}parts.csv?{query}"):
            answer = buying.get(address)
            assert answer.status_code == 422 and refusal in said(answer)
        fields = {one.name: one.value for one in read(answer).fields}
        typed = dict(pair.split("=") for pair in query.split("&"))
        assert {name: fields[name] for name in typed} == typed

    @pytest.mark.usefixtures("shelves")
    def test_a_budget_below_what_is_least_is_refused_in_words(self, buying: Client) -> None:
        answer = buying.get(f"{PAGE}?look=1&wanted=&budget=0")
        assert answer.status_code == 200 and "It cannot be so" in said(answer)


class TestLook:
    @pytest.mark.usefixtures("shelves")
    def test_it_shows_what_would_be_and_writes_nothing(self, buying: Client) -> None:
        answer = buying.get(LOOK)
        page = said(answer)
        assert "Have all targets set so" in page and "belt-front" in page and "shaft-drive" in page
        assert read(answer).faults == []
        assert not TargetRun.objects.exists() and not Target.objects.exists()

    def test_a_run_comes_to_what_was_shown(self, buying: Client, shelves: Shelves, clerk: Clerk) -> None:
        shown = {row["part"]: row for row in table(buying.get(f"{PAGE}parts.csv?wanted=90&budget="))}
        run = targeting.go_on(targeting.begin(clerk("buying"), wanted=WANTED))
        targets = Target.objects.filter(set_by=Target.SetBy.KITS).select_related("part")
        assert (
            {target.part.number for target in targets}
            == set(shown)
            == {shelves.part(name).number for name in shelves.parts if name not in ("FILTER", "PLUG")}
        )
        for target in targets:
            row = shown[target.part.number]
            assert (row["reorder_at_now"], row["up_to_now"]) == ("", "")
            assert (int(row["reorder_at_then"]), int(row["up_to_then"])) == (target.reorder_at, target.up_to)
        again = buying.get(LOOK)
        assert "No part of a kit changes" in said(again)
        assert run.reached is not None and run.reached >= WANTED

    @pytest.mark.usefixtures("reckoned")
    def test_now_then_and_each_part_by_itself_are_three_points(self, buying: Client) -> None:
        wide, slim = drawings(buying.get(f"{PAGE}?look=1&wanted=97&budget="))
        for drawing in (wide, slim):
            assert sticks_out(drawing) == []
            words = titled(drawing)[1]
            assert all(
                name in words for name in ("what you want", "the targets of now", "each part by itself")
            )
        now = float(titled(wide)[1].split("the targets of now: ")[1].split("%")[0])
        then = float(titled(wide)[1].split("what you want: ")[1].split("%")[0])
        assert 90 <= now < then and then >= 97

    @pytest.mark.usefixtures("reckoned")
    def test_what_is_set_by_hand_stays_and_is_reckoned_as_it_is_bought(
        self, buying: Client, shelves: Shelves, clerk: Clerk
    ) -> None:
        pump = shelves.part("PUMP")
        targeting.set_by_hand(clerk("buying"), pump, reorder_at=0, up_to=1, why="No room for more.")
        rows = {row["part"]: row for row in table(buying.get(f"{PAGE}parts.csv?wanted=90&budget="))}
        assert rows[pump.number]["by_hand"] == "yes"
        assert (rows[pump.number]["reorder_at_then"], rows[pump.number]["up_to_then"]) == ("0", "1")
        kits = {row["kit"]: row for row in table(buying.get(f"{PAGE}kits.csv?wanted=90&budget="))}
        assert float(kits["belt-front"]["share_then"]) < 0.7 < float(kits["shaft-drive"]["share_then"])

    def test_take_rates_are_shares_of_the_kits_sold(self, buying: Client, shelves: Shelves) -> None:
        rows = table(buying.get(f"{PAGE}kits.csv?wanted=90&budget="))
        of_belt = {row["part"]: row for row in rows if row["kit"] == "belt-front"}
        long, short = (of_belt[shelves.part(name).number] for name in ("LONG BELT", "BELT"))
        assert float(long["take_rate"]) + float(short["take_rate"]) == pytest.approx(1, abs=1e-3)
        assert 0.1 < float(long["take_rate"]) < 0.5
        bolt = of_belt[shelves.part("BOLT").number]
        assert (bolt["pieces"], float(bolt["take_rate"])) == ("8", 1)

    @pytest.mark.usefixtures("reckoned")
    def test_long_lists_are_cut_and_counted(self, buying: Client, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setattr(kit_targets, "PARTS_SHOWN", 2)
        many = Target.objects.filter(set_by=Target.SetBy.KITS).count()
        assert said(buying.get(LOOK)).count(f"And {many - 2} more") == 2


class TestRuns:
    @pytest.mark.usefixtures("shelves")
    def test_it_is_started_and_watched(self, buying: Client) -> None:
        form = {"do": "start", "wanted": "92.5", "budget": ""}
        answer = buying.post(PAGE, form, follow=True)
        run = TargetRun.objects.get()
        assert answer.redirect_chain == [(f"{PAGE}#run", 303)]
        assert run.wanted == Decimal("0.925") and run.budget is None and run.by is not None
        page = answer.content.decode()
        assert 'hx-trigger="every 2s"' in page and "<progress" in page and "Look again" in page
        assert read(answer).faults == []
        TargetRun.objects.update(parts=12, parts_done=5)
        assert "5 of 12 parts" in said(buying.get(PAGE))
        part = buying.get(f"{PAGE}?only=run").content.decode()
        assert part.startswith("<section") and "5 of 12 parts" in part and "every 2s" in part
        targeting.go_on(run)
        assert "every 2s" not in buying.get(f"{PAGE}?only=run").content.decode()
        done = buying.get(PAGE)
        assert "every 2s" not in done.content.decode() and "of 100 kits" in said(done)

    @pytest.mark.usefixtures("shelves")
    def test_while_one_runs_no_other_is_started_but_it_goes_on(self, buying: Client) -> None:
        buying.post(PAGE, {"do": "start", "wanted": "95", "budget": "1500"})
        second = buying.post(PAGE, {"do": "start", "wanted": "95", "budget": ""})
        assert second.status_code == 409 and "is under way" in said(second)
        run = TargetRun.objects.get()
        assert run.budget == 1500
        on = buying.post(PAGE, {"do": "take_up", "run": str(run.pk)}, follow=True)
        assert "goes on" in said(on)
        assert buying.post(PAGE, {"do": "take_up", "run": "99"}).status_code == 404

    @pytest.mark.usefixtures("reckoned")
    def test_what_it_set_is_told_with_reasons_and_as_files(self, buying: Client) -> None:
        answer = buying.get(PAGE)
        assert "PUMP" in said(answer) and "find it there" in said(answer) and read(answer).faults == []
        (wide, slim) = drawings(answer)
        assert sticks_out(wide) == sticks_out(slim) == []
        assert "what it set" in titled(wide)[1]
        rows = table(buying.get(f"{PAGE}targets.csv"))
        assert len(rows) == Target.objects.filter(set_by=Target.SetBy.KITS).count()
        money = [Decimal(row["money"]) for row in rows]
        assert money == sorted(money, reverse=True) and all(row["why"] for row in rows)
        points = table(buying.get(f"{PAGE}frontier.csv"))
        assert [float(one["money"]) for one in points] == sorted(float(one["money"]) for one in points)
        svg = buying.get(f"{PAGE}frontier.svg")
        assert svg["Content-Type"].startswith("image/svg+xml") and sticks_out(svg.content.decode()) == []
        assert buying.get(f"{PAGE}gossip.csv").status_code == 404

    @pytest.mark.usefixtures("reckoned")
    def test_the_next_is_for_what_the_last_was_for(self, buying: Client) -> None:
        fields = {one.name: one.value for one in read(buying.get(PAGE)).fields}
        assert (fields["wanted"], fields["budget"]) == ("90", "")


def test_the_page_asks_no_more_for_more_parts(
    buying: Client, reckoned: TargetRun, django_assert_max_num_queries: Callable[[int], Any]
) -> None:
    with django_assert_max_num_queries(16):
        buying.get(PAGE)


def test_the_buying_desk_leads_there(buying: Client) -> None:
    assert PAGE in read(buying.get(reverse("buying"))).links
