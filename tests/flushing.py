"""Lets a transactional test empty a database whose ledger refuses to be emptied.

Django empties every table after such a test: DELETE on SQLite, TRUNCATE on PostgreSQL. The triggers
that keep the ledger append-only refuse both, as they should. They are set aside around the emptying
alone and inside its transaction, so a flush that fails leaves them in force.
"""

from collections.abc import Iterable, Iterator
from contextlib import contextmanager

import pytest
from django.db import transaction
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.backends.base.operations import BaseDatabaseOperations
from django.db.backends.utils import CursorWrapper

TRIGGERS_IN_FORCE = """
    SELECT tgrelid::regclass::text, quote_ident(tgname) FROM pg_trigger
    WHERE NOT tgisinternal AND tgenabled <> 'D'
"""


@contextmanager
def _without_triggers_on_sqlite(cursor: CursorWrapper) -> Iterator[None]:
    """SQLite cannot switch a trigger off: drop it and make it again from its own text."""
    cursor.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'")
    triggers = cursor.fetchall()
    for name, _ in triggers:
        cursor.execute(f'DROP TRIGGER "{name}"')
    yield
    for _, sql in triggers:
        cursor.execute(sql)


@contextmanager
def _without_triggers_on_postgresql(cursor: CursorWrapper) -> Iterator[None]:
    """Only our own triggers, those that were on; a table's owner may do this, no superuser needed."""
    cursor.execute(TRIGGERS_IN_FORCE)
    triggers = cursor.fetchall()
    for table, name in triggers:
        cursor.execute(f"ALTER TABLE {table} DISABLE TRIGGER {name}")
    yield
    for table, name in triggers:
        cursor.execute(f"ALTER TABLE {table} ENABLE TRIGGER {name}")


@contextmanager
def without_triggers(connection: BaseDatabaseWrapper) -> Iterator[None]:
    """One transaction in which no trigger of ours fires."""
    setting_aside = {
        "sqlite": _without_triggers_on_sqlite,
        "postgresql": _without_triggers_on_postgresql,
    }[connection.vendor]
    with transaction.atomic(using=connection.alias), connection.cursor() as cursor, setting_aside(cursor):
        yield


@contextmanager
def flushing_past_triggers() -> Iterator[None]:
    """While this lasts, every flush, on every connection, goes past the triggers."""
    original = BaseDatabaseOperations.execute_sql_flush

    def flush(self: BaseDatabaseOperations, sql_list: Iterable[str]) -> None:
        with without_triggers(self.connection):
            original(self, sql_list)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(BaseDatabaseOperations, "execute_sql_flush", flush)
        yield
