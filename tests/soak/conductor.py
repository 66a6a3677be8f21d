"""Starts the clients, kills one now and then, and starts its successor, until all have done their part.

As a program, `python -m tests.soak.conductor FOLDER PLAN`, for whoever must not fork: PLAN is the plan in
JSON, and what is printed is how many clients died.
"""

from __future__ import annotations

import json
import os
import random
import signal
import sys
import time
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path

GRACE_S = 90  # For the last acts to end, a server's recovery among them.
LOOK_EVERY_S = 0.02


class Failed(Exception):
    """A client did not end as it should: it came to an error of its own, or hangs."""


@dataclass(frozen=True)
class Plan:
    """How long, how many, and how rough.

    The clients end after `acts` each, or after `seconds`, whichever is first. `client_kills` and
    `server_kills` are the mean seconds between kills; `fragility` is how likely a client kills itself at
    each of the worst moments of an act.
    """

    seed: str
    seconds: float
    clients: int
    acts: int = sys.maxsize
    fragility: float = 0.001
    client_kills: float | None = 3
    server_kills: float | None = None


@dataclass
class Conductor:
    """Runs a plan in the database of Django's settings. `kill_server` returns when the server is back."""

    plan: Plan
    folder: Path
    kill_server: Callable[[], None] | None = None
    died: int = 0  # Clients that were killed, by us or by themselves.
    servers: int = 0
    _running: dict[int, int] = field(default_factory=dict)  # Slot: process id.

    def path(self, slot: int) -> Path:
        return self.folder / f"client-{slot}.log"

    def run(self) -> None:
        """Until every client has ended well. Raises Failed."""
        self._chance = random.Random(self.plan.seed)
        self._until = time.time() + self.plan.seconds
        try:
            for slot in range(1, self.plan.clients + 1):
                self._start(slot)
            self._look_after()
        finally:
            for pid in self._running.values():
                os.kill(pid, signal.SIGKILL)
                os.waitpid(pid, 0)

    def _look_after(self) -> None:
        plan = self.plan
        next_client, next_server = self._after(plan.client_kills), self._after(plan.server_kills)
        while self._running:
            time.sleep(LOOK_EVERY_S)
            self._succeed()
            now = time.time()
            if now > self._until + GRACE_S:
                raise Failed(f"Clients {sorted(self._running)} still act {GRACE_S} s after their time.")
            if next_client < now < self._until and self._running:
                with suppress(ProcessLookupError):
                    os.kill(self._chance.choice(sorted(self._running.values())), signal.SIGKILL)
                next_client = self._after(plan.client_kills)
            if self.kill_server and next_server < now < self._until:
                self.kill_server()
                self.servers += 1
                next_server = self._after(plan.server_kills)

    def _after(self, mean: float | None) -> float:
        return time.time() + self._chance.uniform(0.5, 1.5) * mean if mean else float("inf")

    def _start(self, slot: int) -> None:
        from .choosing import shared_out
        from .clerk import Clerk
        from .client import forked

        plan = self.plan
        duties = shared_out(plan.clients)[slot - 1]

        def make(hazard: Callable[[str], None]) -> Clerk:
            return Clerk(slot, self.path(slot), plan.seed, duties, hazard)

        self._running[slot] = forked(make, plan.fragility, plan.acts, self._until)

    def _succeed(self) -> None:
        """Who ended well is done; who was killed gets a successor, which finishes what it left."""
        for slot, pid in list(self._running.items()):
            ended, status = os.waitpid(pid, os.WNOHANG)
            if not ended:
                continue
            del self._running[slot]
            if os.waitstatus_to_exitcode(status) == -signal.SIGKILL:
                self.died += 1
                self._start(slot)
            elif status:
                raise Failed(f"Client {slot} ended with status {status}.")


def main() -> None:
    import django

    django.setup()
    conductor = Conductor(Plan(**json.loads(sys.argv[2])), Path(sys.argv[1]))
    conductor.run()
    sys.stdout.write(str(conductor.died))


if __name__ == "__main__":
    main()
