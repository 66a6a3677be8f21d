"""A process killed at a commit leaves the whole act or nothing, and the same request again does it once."""

import os
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest

from inventory.models import AuditEntry, Reservation, Stock
from shop.models import KeptAnswer, Order, Quote
from tests.shop.api.talking import Caller
from tests.shop.small import SmallShop
from tests.working import ROOT, database_under_test

pytestmark = [pytest.mark.main_job, pytest.mark.django_db(transaction=True)]

KEY = "of the killed"


@contextmanager
def stopped(when: str, user: int, path: str) -> Iterator["subprocess.Popen[str]"]:
    """A process of the shop that has come to the commit of this request; killed at the latest in the end."""
    script = Path(__file__).with_name("killed.py")
    environment = {
        **os.environ,
        "PYTHONPATH": str(ROOT),
        "DJANGO_SETTINGS_MODULE": "shop.settings",
        "SHIMWRIGHT_HOSTS": "testserver",
        "DATABASE_URL": database_under_test(),
    }
    command = [sys.executable, str(script), when, str(user), path, KEY]
    with subprocess.Popen(command, env=environment, stdout=subprocess.PIPE, text=True) as process:
        try:
            assert process.stdout is not None and process.stdout.readline() == "there\n"
            yield process
        finally:
            process.kill()


def picture() -> list[Any]:
    """All that accepting a quote writes."""
    return [
        list(Stock.objects.order_by("part").values()),
        list(Quote.objects.values()),
        *(list(model._default_manager.values()) for model in (Order, Reservation, AuditEntry, KeptAnswer)),
    ]


@pytest.mark.parametrize("when", ["before", "after"])
def test_a_process_killed_at_the_commit_leaves_all_or_nothing_and_again_is_done_once(
    small_shop: SmallShop, when: str
) -> None:
    quote, counter = small_shop.quote(), Caller(small_shop.counter)
    path, untouched = f"quotes/{quote.pk}/accept/", picture()
    with stopped(when, small_shop.counter.pk, f"/api/{path}") as process:
        process.kill()
        process.wait()
    assert (picture() == untouched) == (when == "before")

    again = counter.post(path, key=KEY)
    assert again.status_code == 201
    assert ("Idempotency-Replayed" in again) == (when == "after")
    assert Order.objects.get().number == again.json()["number"]
    small_shop.pump.stock.refresh_from_db()
    assert small_shop.pump.stock.committed == 1
    assert AuditEntry.objects.filter(act="ordering.accept").count() == 1


def test_who_asks_again_while_the_first_still_stands_there_gets_it_when_that_is_killed(
    small_shop: SmallShop, run_in_threads: Any
) -> None:
    """The second waits for what the first will do with the key, and nothing is left of the first."""
    quote, counter = small_shop.quote(), Caller(small_shop.counter)
    path = f"quotes/{quote.pk}/accept/"
    with stopped("before", small_shop.counter.pk, f"/api/{path}") as process:
        answer, _ = run_in_threads(lambda: counter.post(path, key=KEY), process.kill)
    assert answer.status_code == 201 and "Idempotency-Replayed" not in answer
    small_shop.pump.stock.refresh_from_db()
    assert small_shop.pump.stock.committed == 1 and Order.objects.count() == 1
