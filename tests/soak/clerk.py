"""One client: it does random acts through the door of the web, and finishes what its predecessor began."""

from __future__ import annotations

import hashlib
import json
import random
import time
import traceback
from collections.abc import Callable, Collection
from pathlib import Path
from typing import Any, TypeVar

from django.contrib.auth.models import User
from django.db import InterfaceError, OperationalError, connection
from django.utils import timezone

from inventory.acting import ActError
from inventory.keeping import lapse
from shop.answering import answer_once

from .choosing import Chooser, choose
from .logs import Intent, Log, told
from .performing import perform
from .premises import Premises, name_of

T = TypeVar("T")

SWEEPS = 0.03  # How often a client does the sweeper's work as well.
PATIENCE_S = 60  # With a server that is gone: it comes again within seconds.


def no_hazard(_moment: str) -> None:
    """Nothing happens to a client that is left alone."""


class Clerk:
    """The client of one slot, in one of its lives.

    `duties` are the kinds of act that it does at least once. `hazard` is called where it hurts most to be
    killed.
    """

    def __init__(
        self,
        slot: int,
        path: Path,
        seed: str,
        duties: Collection[str] = (),
        hazard: Callable[[str], None] = no_hazard,
    ) -> None:
        before = told(path)
        self.done = len(before.answers) + len(before.refusals)
        self.duties = set(duties) - {before.intents[key].kind for key in before.answers}
        self.slot, self.hazard = slot, hazard
        self.log = Log(path)
        self._tries = self._runs = 0  # Of the intent at hand, in this life.
        self._unanswered = before.unanswered
        self._next = len(before.intents) + 1
        self._seed = seed
        self.premises = self._patiently(Premises.found)
        self.user = self._patiently(lambda: User.objects.get(username=name_of(slot)))
        # Each life draws afresh, or a client killed at some act would meet it again for ever.
        self.chance = random.Random(f"{seed} {slot} {self._next}")
        self.chooser = Chooser(self.premises, self.chance)

    def work(self, acts: int, until: float) -> None:
        """Finish what is unanswered, then act until so many and all duties are done, or until time.time()."""
        try:
            for intent in self._unanswered:
                self._ask(intent)
            while (self.done < acts or self.duties) and time.time() < until:
                if self.chance.random() < SWEEPS:
                    self._patiently(lambda: lapse(timezone.now()))
                kind, args = self._patiently(lambda: choose(self.chooser, self.duties))
                intent = Intent(f"soak-{self._seed}-{self.slot}-{self._next}", kind, args)
                self._next += 1
                self.log.add(intent=intent.key, kind=kind, args=args)
                self._ask(intent)
        except Exception:  # noqa: BLE001  # whatever it is, the verdict has to tell it
            self.log.add(fault=traceback.format_exc())
        finally:
            self.log.close()

    def _ask(self, intent: Intent) -> None:
        plain = json.dumps([intent.kind, intent.args], sort_keys=True)
        request_hash = hashlib.sha256(plain.encode()).hexdigest()

        def run() -> tuple[int, dict[str, Any]]:
            self._runs += 1
            answered = perform(self.user, self.premises, intent.key, intent.kind, intent.args)
            self.hazard("before the commit")
            return answered

        def ask() -> None:
            self._tries += 1
            try:
                answer = answer_once(self.user, intent.key, request_hash, run)
            except ActError as refusal:
                self.log.add(refused=intent.key, code=refusal.code, runs=self._runs, tries=self._tries)
            else:
                self.hazard("after the commit")
                number = answer.body["audit"][-1]
                self.duties.discard(intent.kind)
                self.log.add(answer=intent.key, number=number, runs=self._runs, tries=self._tries)

        self._tries = self._runs = 0
        self.hazard("before the act")
        self._patiently(ask)
        self.done += 1

    def _patiently(self, work: Callable[[], T]) -> T:
        """Again, over a new connection, when the server went away, or the act met others too often."""
        until = time.monotonic() + PATIENCE_S
        while True:
            try:
                return work()
            except (OperationalError, InterfaceError):
                if time.monotonic() > until:
                    raise
                connection.close()
                time.sleep(0.2)
