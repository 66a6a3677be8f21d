"""Statements that come again and again: PostgreSQL plans them once for each connection.

They go past Django's own cursor, which writes the values into the text of every statement.
"""

import functools
from collections.abc import Sequence
from typing import Any

import psycopg
from django.db import IntegrityError, connection, models, transaction


def run(statement: str, values: Sequence[Any]) -> tuple[Any, ...] | None:
    """Run a statement on PostgreSQL, in the caller's transaction; the first row that it answers."""
    connection.ensure_connection()
    with connection.wrap_database_errors, psycopg.Cursor(connection.connection) as cursor:
        return cursor.execute(statement, values, prepare=True).fetchone()


def insert(row: models.Model) -> None:
    """Save a new row and set its key: the same as `save`, without asking what kind of save it is."""
    if connection.vendor != "postgresql":
        row.save(force_insert=True)
        return
    _insert(row, "")


def insert_unless_there(row: models.Model) -> bool:
    """The same, unless a unique constraint says that there is one already; waits for whoever is adding it."""
    if connection.vendor == "postgresql":
        return _insert(row, "ON CONFLICT DO NOTHING ")
    try:
        with transaction.atomic():
            row.save(force_insert=True)
    except IntegrityError:
        return False
    return True


def _insert(row: models.Model, conflict: str) -> bool:
    statement, fields = _inserting(type(row), conflict)
    made = run(statement, [field.get_db_prep_save(field.pre_save(row, True), connection) for field in fields])
    if made is None:
        return False
    (row.pk,) = made
    row._state.adding, row._state.db = False, connection.alias
    return True


@functools.cache
def _inserting(model: type[models.Model], conflict: str) -> tuple[str, list[Any]]:
    fields = [field for field in model._meta.local_concrete_fields if not field.primary_key]
    quoted = connection.ops.quote_name
    columns = ", ".join(quoted(str(field.column)) for field in fields)
    places = ", ".join(["%s"] * len(fields))
    key = quoted(str(model._meta.pk.column))
    return (
        f"INSERT INTO {quoted(model._meta.db_table)} ({columns}) VALUES ({places}) {conflict}RETURNING {key}",  # noqa: S608  # names of our own tables
        fields,
    )
