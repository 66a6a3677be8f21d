"""Two counters at the same moment: callables that run at once, each over a connection of its own."""

import sys
import threading
import time
import traceback
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Generic, TypeVar

import pytest
from django.db import connections

T = TypeVar("T")

PATIENCE_S = 30


@dataclass
class _Runner(Generic[T]):
    work: Callable[[], T]
    start: threading.Barrier
    outcome: list[T | Exception] = field(default_factory=list)

    def __call__(self) -> None:
        try:
            for connection in connections.all():
                connection.ensure_connection()
                if connection.vendor == "postgresql":
                    # A thread that waits for a lock for ever would make the flush wait for ever as well.
                    with connection.cursor() as cursor:
                        cursor.execute(
                            "SELECT set_config('statement_timeout', %s, false)", [f"{PATIENCE_S}s"]
                        )
            self.start.wait(PATIENCE_S)
            self.outcome.append(self.work())
        except Exception as error:  # noqa: BLE001 - the test looks at it.
            self.outcome.append(error)
        finally:
            connections.close_all()


def run_in_threads(*works: Callable[[], T], patience: float = PATIENCE_S) -> list[T | Exception]:
    """Run all of `works` at once and return, in their order, what each returned or raised.

    Each runs in a thread with a database connection of its own, opened before the start and closed
    after the end. Needs a transactional test: a test inside a transaction shows its rows to nobody.
    A thread that is still busy after `patience` seconds fails the test and says where it was.
    """
    start = threading.Barrier(len(works))
    runners = [_Runner(work, start) for work in works]
    threads = [threading.Thread(target=runner, daemon=True) for runner in runners]
    for thread in threads:
        thread.start()
    deadline = time.monotonic() + patience
    for thread in threads:
        thread.join(max(0, deadline - time.monotonic()))
    hanging = [thread for thread in threads if thread.is_alive()]
    if hanging:
        frames = sys._current_frames()
        where = "\n".join(
            "".join(traceback.format_stack(frames[thread.ident]))
            for thread in hanging
            if thread.ident in frames
        )
        pytest.fail(f"{len(hanging)} of {len(threads)} threads still busy after {patience} s:\n{where}")
    return [runner.outcome[0] for runner in runners]
