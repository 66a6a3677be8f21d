"""`manage.py targets` reckons, goes on and says what came of it; `manage.py backtest --kits` replays."""

from __future__ import annotations

import json
from decimal import Decimal
from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from inventory import targeting
from inventory.models import TargetRun
from tests.inventory.targeting.shelves import the_shelves

pytestmark = pytest.mark.django_db


def said(name: str, *words: str) -> tuple[str, str]:
    out, err = StringIO(), StringIO()
    call_command(name, *words, stdout=out, stderr=err)
    return out.getvalue(), err.getvalue()


@pytest.mark.main_job
def test_targets_are_reckoned_with_progress_on_the_error_stream() -> None:
    the_shelves()
    out, err = said("targets", "--wanted", "0.8")
    assert out.startswith("12 parts reckoned; 0 of them are kept by hand.")
    assert "of the kits will ship complete from stock, with EUR" in out
    assert "parts: 12 of 12" in err and "kits: " in err
    run = TargetRun.objects.get()
    assert run.wanted == Decimal("0.8") and run.by is None and run.stage == "done"


def test_for_a_machine() -> None:
    the_shelves()
    found = json.loads(said("targets", "--budget", "2500", "--json")[0])
    assert (found["stage"], found["budget"], found["parts"]) == ("done", "2500.00", 12)
    assert Decimal(found["tied_up"]) <= 2500 and 0 < Decimal(found["reached"]) < 1
    assert all(len(point) == 2 for point in found["frontier"])


def test_a_run_that_was_stopped_is_gone_on_with_and_not_begun_again() -> None:
    the_shelves()
    stopped = targeting.begin(None, wanted=Decimal("0.8"))
    with pytest.raises(CommandError, match="--resume"):
        said("targets")
    with pytest.raises(CommandError, match="leave out --wanted"):
        said("targets", "--resume", "--wanted", "0.9")
    said("targets", "--resume")
    stopped.refresh_from_db()
    assert stopped.stage == "done" and TargetRun.objects.count() == 1
    with pytest.raises(CommandError, match="No run was stopped"):
        said("targets", "--resume")


def test_what_cannot_be_says_what_to_do() -> None:
    the_shelves()
    with pytest.raises(CommandError, match="above 0 and below 1"):
        said("targets", "--wanted", "1.5")
    with pytest.raises(CommandError, match="no number"):
        said("targets", "--budget", "much")
    with pytest.raises(CommandError, match="raise the budget"):
        said("targets", "--budget", "1")
    with pytest.raises(CommandError, match="not allowed with"):
        said("targets", "--budget", "1", "--wanted", "0.9")


@pytest.mark.main_job
def test_the_shops_own_kits_are_replayed() -> None:
    the_shelves()
    out, _ = said("backtest", "--kits", "--fill", "0.9")
    assert "kits of 10 parts in 12 months, after 12 to learn from; 90.0% wanted" in out
    for policy in ("whole kits", "the same service for every part", "min and max by the normal curve"):
        assert f"\n{policy}" in out
    found = json.loads(said("backtest", "--kits", "--json", "--learn", "6", "--months", "18")[0])
    assert (found["months_learnt"], found["months_replayed"]) == (6, 12)
    assert len(found["policies"]) == 3


def test_a_back_test_of_kits_says_what_it_lacks() -> None:
    the_shelves(kits=False)
    with pytest.raises(CommandError, match="to learn from"):
        said("backtest", "--kits")
    with pytest.raises(CommandError, match="one of the two"):
        said("backtest")
    with pytest.raises(CommandError, match="Learn from some"):
        said("backtest", "--kits", "--learn", "24")
    with pytest.raises(CommandError, match="between 0 and 1"):
        said("backtest", "--kits", "--fill", "1")
