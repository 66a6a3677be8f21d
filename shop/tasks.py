"""Work that a worker does for the shop as a whole; stock has its own in inventory/tasks.py."""

from celery import shared_task
from django.core.cache import cache
from django.db import connection

KEPT_S = 60


def answer_key(token: str) -> str:
    """Where the answer to a ping with this token is found in the cache."""
    return f"ping:{token}"


@shared_task
def ping(token: str) -> None:
    """Answer in the cache with the database that the worker works on: broker, worker, database, cache."""
    connection.ensure_connection()
    cache.set(answer_key(token), str(connection.settings_dict["NAME"]), KEPT_S)
