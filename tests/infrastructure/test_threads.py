"""The helper that races two counters really races them, and never hangs the run."""

import threading
import time
from collections.abc import Callable
from typing import Any

import pytest
from django.contrib.auth.models import Group
from django.db import connection

from tests import threads

pytestmark = pytest.mark.main_job

RunInThreads = Callable[..., list[Any]]


def test_results_and_errors_come_back_in_order(run_in_threads: RunInThreads) -> None:
    def refuse() -> None:
        raise ValueError("sold out")

    first, second = run_in_threads(lambda: "sold", refuse)
    assert first == "sold"
    assert isinstance(second, ValueError)


def test_the_works_overlap(run_in_threads: RunInThreads) -> None:
    meeting = threading.Barrier(2)

    def meet() -> None:
        meeting.wait(timeout=10)

    assert run_in_threads(meet, meet) == [None, None]


def test_each_has_a_connection_of_its_own_that_is_closed(run_in_threads: RunInThreads) -> None:
    opened: list[Any] = []

    def look() -> int:
        opened.append(connection.connection)
        return id(connection.connection)

    one, other = run_in_threads(look, look)
    assert len({one, other, id(connection.connection)}) == 3
    for raw in opened:
        with pytest.raises(Exception, match="closed"):
            raw.execute("SELECT 1")


def test_what_one_commits_the_others_see(run_in_threads: RunInThreads) -> None:
    run_in_threads(lambda: Group.objects.create(name="pickers"))
    assert Group.objects.filter(name="pickers").exists()


@pytest.mark.django_db(transaction=True)
def test_a_thread_that_hangs_fails_the_test_and_says_where() -> None:
    release = threading.Event()

    def wait_for_the_moon() -> None:
        release.wait(20)

    started = time.monotonic()
    with pytest.raises(pytest.fail.Exception, match="wait_for_the_moon"):
        threads.run_in_threads(wait_for_the_moon, patience=0.3)
    assert time.monotonic() - started < 10
    release.set()
