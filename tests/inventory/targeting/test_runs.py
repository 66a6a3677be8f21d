"""Targets are reckoned in runs: all of them, once, whatever is killed, and never over a person's own."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest

from inventory import targeting
from inventory.acting import ActError, Conflict
from inventory.models import Alert, Part, Target, TargetRun
from inventory.targeting import runs
from inventory.tasks import reckon_targets
from tests.clerks import Clerk
from tests.inventory.builders import a_part, today
from tests.inventory.targeting.shelves import the_shelves

pytestmark = [pytest.mark.django_db, pytest.mark.main_job]

WANTED = Decimal("0.9")


def reckoned(**aims: Any) -> TargetRun:
    return targeting.go_on(targeting.begin(None, **{"wanted": WANTED} | aims))


def levels() -> dict[int, tuple[int, int, str, str, dict[str, Any]]]:
    rows = Target.objects.values_list("part", "reorder_at", "up_to", "set_by", "why", "figures")
    return {part: tuple(rest) for part, *rest in rows}


def test_every_part_that_is_bought_has_a_target_and_its_reasons() -> None:
    shop = the_shelves()
    run = reckoned()
    assert (run.stage, run.parts, run.parts_done) == ("done", 12, 12)
    assert run.reached is not None and run.reached >= WANTED
    assert run.frontier and run.tied_up
    filter_ = Target.objects.get(part=shop.part("FILTER"))
    assert filter_.set_by == "part" and filter_.up_to > filter_.reorder_at > 0
    assert filter_.why.startswith("Sells about ") and "Corran 7 takes 7 days" in filter_.why
    assert filter_.figures["demand"]["months"] == 24
    assert filter_.figures["terms"]["price"] == "6.00"
    assert filter_.figures["one_more"]["share"] > 0 > filter_.figures["one_fewer"]["share"]


def test_parts_of_kits_are_set_together_and_say_which_kits() -> None:
    shop = the_shelves()
    reckoned()
    pump = Target.objects.get(part=shop.part("PUMP"))
    assert pump.set_by == "kits" and pump.figures["kits"] == ["belt-front"]
    assert "of the kits that need PUMP find it there" in pump.why
    assert pump.figures["one_fewer"]["share"] < 0 < pump.figures["one_more"]["share"]
    gasket = Target.objects.get(part=shop.part("GASKET"))
    assert gasket.figures["kits"] == ["belt-front", "shaft-drive"]


def test_a_budget_is_kept() -> None:
    the_shelves()
    dear = reckoned()
    assert dear.tied_up is not None
    budget = round(dear.tied_up / 2, 2)
    cheap = reckoned(budget=budget)
    assert cheap.tied_up is not None and cheap.reached is not None and dear.reached is not None
    assert cheap.tied_up <= budget
    assert cheap.reached < dear.reached


def test_a_budget_that_pays_for_nothing_says_what_to_do() -> None:
    the_shelves()
    run = reckoned(budget=Decimal(0))
    assert run.stage == "failed" and run.ended_at
    assert "raise the budget" in run.note
    # The parts that no kit needs have their targets all the same.
    assert Target.objects.filter(run=run).count() == 12


def test_without_kits_each_part_stands_for_itself() -> None:
    the_shelves(kits=False)
    run = reckoned()
    assert run.stage == "done" and "each part is reckoned by itself" in run.note
    assert set(Target.objects.values_list("set_by", flat=True)) == {"part"}


class Killed(BaseException):
    """What no handler catches."""


def test_a_run_killed_half_way_goes_on_and_comes_to_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    the_shelves()
    whole = reckoned()
    expected = levels()
    Target.objects.all().delete()
    monkeypatch.setattr(runs, "BATCH", 5)
    run = targeting.begin(None, wanted=WANTED)

    def kill(done: int, total: int, what: str) -> None:
        if what == "parts" and done >= 5:
            raise Killed

    with pytest.raises(Killed):
        targeting.go_on(run, kill)
    run.refresh_from_db()
    assert (run.stage, run.parts, run.parts_done) == ("parts", 12, 5)
    assert Target.objects.filter(run=run).count() == 5

    seen: list[tuple[int, int, str]] = []
    again = targeting.go_on(run, lambda *told: seen.append(told))
    assert [told for told in seen if told[2] == "parts"] == [(5, 7, "parts"), (7, 7, "parts")]
    assert (again.stage, again.parts, again.parts_done) == ("done", 12, 12)
    assert levels() == expected
    assert (again.reached, again.tied_up, again.frontier) == (whole.reached, whole.tied_up, whole.frontier)


def test_a_run_killed_among_the_kits_does_the_kits_alone() -> None:
    the_shelves()
    expected = reckoned() and levels()
    run = targeting.begin(None, wanted=WANTED)

    def kill(done: int, total: int, what: str) -> None:
        if what == "kits":
            raise Killed

    with pytest.raises(Killed):
        targeting.go_on(run, kill)
    run.refresh_from_db()
    assert run.stage == "kits"
    # What an earlier run found for whole kits is still there.
    assert Target.objects.filter(set_by="kits").count() == 10
    seen: list[str] = []
    targeting.go_on(run, lambda done, total, what: seen.append(what))
    assert "parts" not in seen and levels() == expected


def test_a_second_run_of_the_same_figures_changes_nothing_but_its_number() -> None:
    the_shelves()
    reckoned()
    before = levels()
    run = reckoned()
    assert levels() == before
    assert set(Target.objects.values_list("run", flat=True)) == {run.pk}


def test_a_target_set_by_hand_is_told_what_is_recommended_and_left(clerk: Clerk) -> None:
    shop = the_shelves()
    reckoned()
    free = levels()
    for name, reorder_at, up_to in (("FILTER", 1, 2), ("PUMP", 0, 1)):
        targeting.set_by_hand(
            clerk("buying"), shop.part(name), reorder_at=reorder_at, up_to=up_to, why="The owner wants it so"
        )
    run = reckoned()
    for name, reorder_at, up_to in (("FILTER", 1, 2), ("PUMP", 0, 1)):
        target = Target.objects.get(part=shop.part(name))
        assert (target.reorder_at, target.up_to, target.set_by) == (reorder_at, up_to, "hand")
        assert target.why == "The owner wants it so"
        recommended = target.figures["recommended"]
        assert (recommended["reorder_at"], recommended["up_to"]) == free[target.part_id][:2]
    assert run.reached is not None and run.reached < WANTED
    assert "PUMP" in run.note and "kept by hand" in run.note


def test_what_is_left_to_the_runs_is_set_by_the_next(clerk: Clerk) -> None:
    shop = the_shelves()
    reckoned()
    expected = levels()[shop.part("PUMP").pk]
    by_hand = targeting.set_by_hand(
        clerk("buying"), shop.part("PUMP"), reorder_at=30, up_to=40, why="A fair is coming"
    )
    left = targeting.leave_to_runs(clerk("buying"), by_hand)
    assert (left.reorder_at, left.up_to, left.set_by) == (30, 40, "part")
    reckoned()
    assert levels()[shop.part("PUMP").pk][:4] == expected[:4]


def test_superseded_and_ended_parts_are_not_bought_and_what_runs_out_is_bought_once_more() -> None:
    shop = the_shelves()
    reckoned()
    new = a_part("FILTER 2")
    new.supersedes.create(old=shop.part("PLUG"), since=today())
    Part.objects.filter(pk=shop.part("FILTER").pk).update(standing="run out")
    Part.objects.filter(pk=shop.part("PLATE").pk).update(standing="ended")
    reckoned()
    plug = Target.objects.get(part=shop.part("PLUG"))
    assert (plug.reorder_at, plug.up_to) == (0, 0) and "Superseded by FILTER 2" in plug.why
    plate = Target.objects.get(part=shop.part("PLATE"))
    assert (plate.reorder_at, plate.up_to) == (0, 0) and "No longer sold" in plate.why
    filter_ = Target.objects.get(part=shop.part("FILTER"))
    assert filter_.up_to == filter_.reorder_at + 1 > 60
    assert "last buy" in " ".join(filter_.figures["why"])
    until = filter_.figures["last_buy"]
    reckoned()
    filter_.refresh_from_db()
    assert filter_.figures["last_buy"] == until


def test_one_run_at_a_time_and_a_share_that_can_be() -> None:
    targeting.begin(None, wanted=WANTED)
    with pytest.raises(Conflict, match="under way"):
        targeting.begin(None, wanted=WANTED)
    TargetRun.objects.all().delete()
    for wanted in (Decimal(0), Decimal(1), Decimal("0.99999")):
        with pytest.raises(ActError) as refused:
            targeting.begin(None, wanted=wanted)
        assert refused.value.code == "no-share"
    with pytest.raises(ActError) as refused:
        targeting.begin(None, wanted=WANTED, budget=Decimal(-1))
    assert refused.value.code == "no-budget"


def test_an_error_of_the_program_ends_the_run_and_is_not_swallowed(monkeypatch: pytest.MonkeyPatch) -> None:
    the_shelves()

    def broken(*_: object) -> None:
        raise ZeroDivisionError

    monkeypatch.setattr(runs, "recommend", broken)
    run = targeting.begin(None, wanted=WANTED)
    with pytest.raises(ZeroDivisionError):
        targeting.go_on(run)
    run.refresh_from_db()
    assert run.stage == "failed" and "ZeroDivisionError" in run.note and run.ended_at
    assert targeting.unfinished() is None


def test_the_page_starts_a_run_and_a_worker_does_it_once_it_is_written(
    clerk: Clerk, django_capture_on_commit_callbacks: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    the_shelves()
    monkeypatch.setattr(reckon_targets, "delay", reckon_targets)
    with django_capture_on_commit_callbacks(execute=True):
        run = targeting.start(clerk("buying"), wanted=WANTED)
        assert targeting.unfinished() == run
    run.refresh_from_db()
    assert run.stage == "done" and run.by == clerk("buying")
    with pytest.raises(Conflict, match="has ended"):
        targeting.take_up(clerk("buying"), run)


def test_a_run_whose_worker_died_is_taken_up(
    clerk: Clerk, django_capture_on_commit_callbacks: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    the_shelves()
    monkeypatch.setattr(reckon_targets, "delay", reckon_targets)
    run = targeting.begin(None, wanted=WANTED)
    with django_capture_on_commit_callbacks(execute=True):
        targeting.take_up(clerk("buying"), run)
    run.refresh_from_db()
    assert run.stage == "done"


def test_by_itself_the_shop_reckons_what_its_settings_want_and_takes_up_what_stands(clerk: Clerk) -> None:
    the_shelves()
    stopped = targeting.begin(None, wanted=Decimal("0.8"))
    assert reckon_targets() == "done"
    stopped.refresh_from_db()
    assert stopped.stage == "done"
    assert reckon_targets() == "done"
    assert TargetRun.objects.first().wanted == Decimal("0.95")  # type: ignore[union-attr]  # There is one.


def test_after_a_run_buying_is_warned_of_what_is_below_its_new_target() -> None:
    shop = the_shelves()
    reckoned()
    assert Alert.objects.filter(part=shop.part("FILTER"), cleared_at=None).exists()


@pytest.mark.parametrize(
    ("reorder_at", "up_to", "most", "why", "code"),
    [
        (3, 3, None, "so", "no-level"),
        (-1, 3, None, "so", "no-level"),
        (0, -1, None, "so", "no-level"),
        (1, 9, 8, "so", "no-room"),
        (1, 9, None, " ", "reason-needed"),
        (1, 9, None, "x" * 201, "reason-needed"),
    ],
)
def test_levels_that_nobody_can_keep_are_refused(
    clerk: Clerk, reorder_at: int, up_to: int, most: int | None, why: str, code: str
) -> None:
    part = a_part()
    with pytest.raises(ActError) as refused:
        targeting.set_by_hand(clerk("buying"), part, reorder_at=reorder_at, up_to=up_to, most=most, why=why)
    assert refused.value.code == code
    assert not Target.objects.exists()


def test_what_no_run_has_seen_is_not_left_to_them(clerk: Clerk) -> None:
    target = targeting.set_by_hand(clerk("buying"), a_part(), reorder_at=1, up_to=2, why="so")
    with pytest.raises(Conflict, match="No run has reckoned"):
        targeting.leave_to_runs(clerk("buying"), target)
