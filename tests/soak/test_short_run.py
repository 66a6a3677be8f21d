"""Clients at once, some of them killed: nothing is oversold, lost or doubled."""

from __future__ import annotations

import json
import os
import random
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import asdict, replace
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from django.db import connection

from tests.threads import run_in_threads

from .choosing import DUTIES, shared_out
from .clerk import Clerk
from .conductor import Plan
from .logs import told
from .premises import open_shop
from .report import done_by_kind
from .verdict import verdict

pytestmark = pytest.mark.django_db(transaction=True)

# The run ends after so many acts; the time is for a machine that is busy with other things.
PLAN = Plan("short", seconds=120, clients=6, acts=14, fragility=0.01, client_kills=1.5)
PATIENCE_S = 240


class Vanished(BaseException):
    """What stands for SIGKILL in a thread, which cannot be killed."""


def environment() -> dict[str, str]:
    """What leads another process to the database of this test."""
    name = connection.settings_dict["NAME"]
    if connection.vendor == "sqlite":
        url = f"sqlite:///{name}"
    else:
        url = urlsplit(os.environ["DATABASE_URL"])._replace(path=f"/{name}").geturl()
    return {**os.environ, "DATABASE_URL": url, "DJANGO_SETTINGS_MODULE": "shop.settings"}


def conduct(plan: Plan, folder: Path) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "tests.soak.conductor", str(folder), json.dumps(asdict(plan))]
    return subprocess.run(
        command, env=environment(), capture_output=True, text=True, timeout=PATIENCE_S, check=False
    )


def test_processes_that_are_killed_neither_lose_nor_double_anything(tmp_path: Path) -> None:
    premises = open_shop(PLAN.clients)
    model = premises.model()
    conducted = conduct(PLAN, tmp_path)
    assert conducted.returncode == 0, conducted.stderr
    assert int(conducted.stdout) >= 1, "no client was killed"
    logs = [told(tmp_path / f"client-{slot}.log") for slot in range(1, PLAN.clients + 1)]
    assert verdict(model, premises, logs) == []
    assert set(DUTIES) <= set(done_by_kind(logs))
    assert not any(log.unanswered for log in logs)


def test_a_client_that_comes_to_an_error_of_its_own_fails_the_run(tmp_path: Path) -> None:
    """There is no shop for it to act in."""
    conducted = conduct(replace(PLAN, clients=1, client_kills=None, fragility=0), tmp_path)
    assert conducted.returncode != 0
    assert "Client 1 ended with status" in conducted.stderr


@pytest.mark.main_job
def test_threads_that_vanish_neither_lose_nor_double_anything(tmp_path: Path) -> None:
    clients = 4
    premises = open_shop(clients)
    model = premises.model()
    until = time.time() + PLAN.seconds

    def client(slot: int) -> Callable[[], int]:
        def live() -> int:
            """Until the work is done; returns how often the client vanished."""
            chance, duties = random.Random(slot), shared_out(clients)[slot - 1]

            def hazard(_moment: str) -> None:
                if chance.random() < 0.02:
                    raise Vanished

            vanished = 0
            while True:
                try:
                    Clerk(slot, tmp_path / f"{slot}.log", "short", duties, hazard).work(14, until)
                except Vanished:
                    vanished += 1
                else:
                    return vanished

        return live

    lives = run_in_threads(*[client(slot) for slot in range(1, clients + 1)], patience=PATIENCE_S)
    logs = [told(tmp_path / f"{slot}.log") for slot in range(1, clients + 1)]
    assert all(isinstance(vanished, int) for vanished in lives), lives
    assert verdict(model, premises, logs) == []
    assert set(DUTIES) <= set(done_by_kind(logs))
