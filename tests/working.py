"""A real Celery worker, over the run's broker and against its test database."""

import os
import signal
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import quote, urlsplit

from django.db import connection

from tests.servers import Keeper

ROOT = Path(__file__).parents[1]


def database_under_test() -> str:
    """DATABASE_URL names the shop's database; the tests work on another of the same server, or file."""
    name = quote(str(connection.settings_dict["NAME"]))
    if connection.vendor == "sqlite":
        return f"sqlite:///{name}"
    return urlsplit(os.environ["DATABASE_URL"])._replace(path=f"/{name}").geturl()


@contextmanager
def celery_worker(queue: str) -> Iterator[Keeper]:
    """A worker process that serves `queue` alone: `task.apply_async(queue=queue)` reaches it.

    `wait_until` of the value waits for what the worker does, and says so if it has died instead. The
    queue is the caller's own: tasks that other tests sent, and nobody ran, wait in the usual one. Needs
    a transactional test, since the worker sees only what is committed.
    """
    command = [sys.executable, "-m", "celery", "-A", "shop", "worker", "--pool=solo", f"--queues={queue}"]
    command += ["--without-gossip", "--without-mingle", "--without-heartbeat"]
    served = {
        "PYTHONPATH": str(ROOT),
        "DJANGO_SETTINGS_MODULE": "shop.settings",
        "DATABASE_URL": database_under_test(),
        "REDIS_URL": os.environ["REDIS_URL"],
        "SHIMWRIGHT_SECRET_KEY": os.environ["SHIMWRIGHT_SECRET_KEY"],
    }
    with Keeper() as keeper:
        keeper.run([command], signal.SIGTERM, environment=served)
        yield keeper
