"""What every act shares: permission, transaction, audit, and errors that say what to do.

An act is a function whose first argument is the user who acts. `@act` runs it inside one
transaction, checks the permission there (so a right withdrawn meanwhile counts), writes an audit
entry in the same transaction, and retries when two transactions met in a deadlock. An act that calls
another act joins its transaction; only the outermost retries.
"""

from __future__ import annotations

import functools
import inspect
import sqlite3
import time
from collections.abc import Callable, Mapping
from typing import Any, Concatenate, ParamSpec, TypeVar

from django.contrib.auth.models import User
from django.db import OperationalError, connection, models, transaction

from .models import AuditEntry
from .prepared import insert

P = ParamSpec("P")
R = TypeVar("R")

ATTEMPTS = 5
# PostgreSQL: deadlock detected, serialization failure; SQLite: somebody else is writing, for longer than its
# own patience. Nothing of the transaction is kept, so running it again is safe.
_RETRY_SQLSTATES = {"40P01", "40001"}
_RETRY_SQLITE = {sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED}


class ActError(Exception):
    """An act that was refused. `code` is stable, `message` says what is wrong and what to do.

    `details` holds plain values for whoever asked: what is short, what was scanned, what to do instead.
    """

    code = "refused"

    def __init__(self, message: str, *, code: str | None = None, **details: Any) -> None:
        super().__init__(message)
        self.message = message
        self.code = code or self.code
        self.details: Mapping[str, Any] = details


class NotAllowed(ActError):
    """The user's desk may not do this."""

    code = "not-allowed"


class Conflict(ActError):
    """The state has moved on: the same act was possible a moment ago, or will be later."""

    code = "conflict"


def act(permission: str) -> Callable[[Callable[Concatenate[User, P], R]], Callable[Concatenate[User, P], R]]:
    """Make a function an act that needs `permission` ("app.codename")."""

    def decorate(run: Callable[Concatenate[User, P], R]) -> Callable[Concatenate[User, P], R]:
        names = list(inspect.signature(run).parameters)[1:]
        name = f"{run.__module__.rpartition('.')[2]}.{run.__name__}"

        @functools.wraps(run)
        def acting(user: User, /, *args: P.args, **kwargs: P.kwargs) -> R:
            def once() -> R:
                with transaction.atomic():
                    _require(user, permission, name)
                    result = run(user, *args, **kwargs)
                    # `run` has taken them, so they fit.
                    _record(user, name, [*zip(names, args, strict=False), *kwargs.items()], result)
                    return result

            return retrying(once)

        acting.permission = permission  # type: ignore[attr-defined]  # read by the table of rights
        return acting

    return decorate


def _require(user: User, permission: str, name: str) -> None:
    if not user.has_perm(permission):
        raise NotAllowed(
            f"{user.get_username() or 'Nobody signed in'} may not do this ({name}). "
            "Ask somebody at the desk that does, or have the right given to your desk.",
            permission=permission,
        )


def retrying(once: Callable[[], R]) -> R:
    """Run `once`, a transaction of its own, again when it met another in a deadlock or found it writing.

    Inside a transaction it runs just once: only the outermost can start afresh.
    """
    if connection.in_atomic_block:
        return once()
    for attempt in range(1, ATTEMPTS + 1):
        try:
            return once()
        except OperationalError as error:
            if attempt == ATTEMPTS or not _worth_another(error):
                raise
            time.sleep(0.01 * 2**attempt)
    raise AssertionError("unreachable: the last attempt returns or raises")


def _worth_another(error: OperationalError) -> bool:
    cause = error.__cause__
    primary = getattr(cause, "sqlite_errorcode", 0) & 0xFF  # Above stands what kind of busy it is.
    return getattr(cause, "sqlstate", None) in _RETRY_SQLSTATES or primary in _RETRY_SQLITE


def _record(user: User, name: str, arguments: list[tuple[str, Any]], result: Any) -> None:
    """Write who did what to which thing; the subject is the result, else the first thing named."""
    things = [
        value for value in (result, *(value for _, value in arguments)) if isinstance(value, models.Model)
    ]
    subject = things[0] if things else None
    insert(
        AuditEntry(
            user=user,
            act=name,
            subject_kind=subject._meta.label_lower if subject is not None else "",
            subject_id=str(subject.pk) if subject is not None else "",
            subject=str(subject)[:200] if subject is not None else "",
            detail={key: _plain(value) for key, value in arguments},
        )
    )


def _plain(value: Any) -> Any:
    """A JSON value that a person can read later; things are named, not dumped."""
    if isinstance(value, models.Model):
        return f"{value._meta.label_lower} {value.pk}: {value}"[:200]
    if isinstance(value, Mapping):
        return {str(key): _plain(item) for key, item in value.items()}
    if isinstance(value, (list, tuple, set, frozenset)):
        return [_plain(item) for item in value]
    if value is None or isinstance(value, (bool, int, str)):
        return value
    return str(value)
