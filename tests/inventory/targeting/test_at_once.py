"""Two at one run, or two runs at once: nothing is done twice, and nothing of a person's is lost."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest

from inventory import targeting
from inventory.acting import Conflict
from inventory.models import Target, TargetRun
from inventory.targeting import runs
from tests.clerks import Clerk
from tests.inventory.targeting.shelves import the_shelves

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.main_job]

Threads = Callable[..., list[Any]]
WANTED = Decimal("0.9")


def levels() -> set[tuple[Any, ...]]:
    return set(Target.objects.values_list("part", "reorder_at", "up_to", "set_by", "why"))


def test_two_workers_at_one_run_do_it_once(run_in_threads: Threads, monkeypatch: pytest.MonkeyPatch) -> None:
    the_shelves()
    targeting.go_on(targeting.begin(None, wanted=WANTED))
    alone = levels()
    Target.objects.all().delete()
    monkeypatch.setattr(runs, "BATCH", 3)
    run = targeting.begin(None, wanted=WANTED)
    done = run_in_threads(lambda: targeting.go_on(run), lambda: targeting.go_on(run))
    assert [one.stage for one in done] == ["done", "done"]
    run.refresh_from_db()
    assert (run.parts, run.parts_done) == (12, 12)
    assert levels() == alone


def test_two_who_start_get_one_run(run_in_threads: Threads) -> None:
    def one() -> TargetRun:
        return targeting.begin(None, wanted=WANTED)

    results = run_in_threads(one, one)
    assert sorted(type(result).__name__ for result in results) == ["Conflict", "TargetRun"]
    (refused,) = (result for result in results if isinstance(result, Conflict))
    assert "under way" in refused.message
    assert TargetRun.objects.count() == 1


def test_a_target_that_somebody_sets_while_a_run_writes_is_theirs(
    run_in_threads: Threads, clerk: Clerk
) -> None:
    shop, buyer = the_shelves(), clerk("buying")
    run = targeting.begin(None, wanted=WANTED)

    def by_hand() -> None:
        for name in ("PUMP", "FILTER", "PLUG"):
            targeting.set_by_hand(buyer, shop.part(name), reorder_at=70, up_to=71, why="A fair is coming")

    ended, nothing = run_in_threads(lambda: targeting.go_on(run), by_hand)
    assert (ended.stage, nothing) == ("done", None)
    for name in ("PUMP", "FILTER", "PLUG"):
        target = Target.objects.get(part=shop.part(name))
        assert (target.reorder_at, target.up_to, target.set_by) == (70, 71, "hand")
