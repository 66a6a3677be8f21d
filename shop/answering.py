"""Answers kept under a key: a repeated request gets the first answer, and its act runs once.

The answer is written in the transaction of the act, so a crash keeps neither and an error is never
kept. Two requests at once meet in the unique constraint: PostgreSQL makes the second wait for the
first to end, and SQLite lets only one transaction write at a time.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.contrib.auth.models import User
from django.db import transaction

from inventory.acting import ActError, retrying
from inventory.prepared import insert_unless_there
from shop.models import KeptAnswer

LONGEST_KEY = 120
FORGOTTEN_AT_ONCE = 1000


class KeyReused(ActError):
    """The key was sent before with another request."""

    code = "idempotency-key-reused"


@dataclass(frozen=True)
class Answer:
    """An HTTP status and a JSON body; `replayed` when it was given before."""

    status: int
    body: Any
    replayed: bool


def answer_once(user: User, key: str, request_hash: str, run: Callable[[], tuple[int, Any]]) -> Answer:
    """Run `run` and keep the status and body that it returns, or return what was kept under this key.

    `request_hash` stands for the whole request; KeyReused if the key came with another one.
    """

    def once() -> Answer:
        with transaction.atomic():
            # One statement that waits for whoever is at work on this key.
            mine = KeptAnswer(user=user, key=key, request_hash=request_hash)
            if not insert_unless_there(mine):
                return _first_answer(KeptAnswer.objects.get(user=user, key=key), request_hash)
            status, body = run()
            KeptAnswer.objects.filter(pk=mine.pk).update(status=status, body=body)
            return Answer(status, body, replayed=False)

    return retrying(once)


def _first_answer(kept: KeptAnswer, request_hash: str) -> Answer:
    assert kept.status is not None  # Key and answer are written in one transaction.
    if kept.request_hash != request_hash:
        raise KeyReused(
            "This Idempotency-Key was sent before with another request. Send a new key for a new request; "
            "repeat a key only to repeat the very same request.",
        )
    return Answer(kept.status, kept.body, replayed=True)


def forget_older_than(moment: datetime) -> int:
    """Delete the answers kept before `moment`, some at a time so that no lock is long; returns how many."""
    forgotten = 0
    while some := _some_older_than(moment):
        gone, _ = retrying(KeptAnswer.objects.filter(pk__in=some).delete)
        forgotten += gone
    return forgotten


def _some_older_than(moment: datetime) -> list[int]:
    older = KeptAnswer.objects.filter(at__lt=moment).order_by("at", "pk")
    return list(older.values_list("pk", flat=True)[:FORGOTTEN_AT_ONCE])
