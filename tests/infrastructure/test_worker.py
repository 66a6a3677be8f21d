"""The served shop's worker: a process of its own takes a task from the broker and does it."""

import time

import pytest
from django.core.cache import cache
from django.db import connection

from shop.tasks import answer_key, ping
from tests.working import celery_worker

pytestmark = pytest.mark.django_db(transaction=True)


def answer(token: str, seconds: float = 30) -> object:
    deadline = time.monotonic() + seconds
    while (said := cache.get(answer_key(token))) is None and time.monotonic() < deadline:
        time.sleep(0.05)
    return said


def test_a_worker_answers_from_the_database_of_the_shop() -> None:
    with celery_worker(queue="answers"):
        ping.apply_async(("anybody-there",), queue="answers")
        assert answer("anybody-there") == connection.settings_dict["NAME"]


def test_a_task_waits_in_the_broker_until_a_worker_comes() -> None:
    ping.apply_async(("before-opening",), queue="patience")
    assert cache.get(answer_key("before-opening")) is None
    with celery_worker(queue="patience"):
        assert answer("before-opening") == connection.settings_dict["NAME"]
