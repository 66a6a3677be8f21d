"""Statements that come again and again: PostgreSQL plans them once for each connection.

They go past Django's own cursor, which writes the values into the text of every statement.
"""

import functools
from collections.abc import Sequence
from typing import Any

import psycopg
from django.db import connection, models


def run_together(*statements: tuple[str, Sequence[Any]]) -> list[tuple[Any, ...]]:
    """Send all of them in one trip to PostgreSQL, in the caller's transaction; the rows of the last one."""
    connection.ensure_connection()
    database = connection.connection
    with connection.wrap_database_errors, psycopg.Cursor(database) as cursor:
        with database.pipeline():
            for statement, values in statements:
                cursor.execute(statement, values, prepare=True)
        while cursor.nextset():
            pass
        return cursor.fetchall() if cursor.description else []


def insert(row: models.Model) -> None:
    """Save a new row and set its key: the same as `save`, without asking what kind of save it is."""
    if connection.vendor != "postgresql":
        row.save(force_insert=True)
        return
    statement, fields = _insert(type(row))
    values = [field.get_db_prep_save(field.pre_save(row, True), connection) for field in fields]
    ((row.pk,),) = run_together((statement, values))
    row._state.adding, row._state.db = False, connection.alias


@functools.cache
def _insert(model: type[models.Model]) -> tuple[str, list[Any]]:
    fields = [field for field in model._meta.local_concrete_fields if not field.primary_key]
    quoted = connection.ops.quote_name
    columns = ", ".join(quoted(str(field.column)) for field in fields)
    places = ", ".join(["%s"] * len(fields))
    key = quoted(str(model._meta.pk.column))
    return (
        f"INSERT INTO {quoted(model._meta.db_table)} ({columns}) VALUES ({places}) RETURNING {key}",  # noqa: S608  # names of our own tables
        fields,
    )
