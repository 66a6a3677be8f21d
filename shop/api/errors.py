"""The one place where an error becomes an answer: a problem document by RFC 9457.

Whatever a handler was doing is rolled back before the answer goes out.
"""

from __future__ import annotations

import re
from typing import Any

from django.core.exceptions import PermissionDenied as DjangoPermissionDenied
from django.db import IntegrityError
from django.http import Http404
from rest_framework import exceptions
from rest_framework.response import Response
from rest_framework.views import set_rollback

from inventory.acting import ActError, Conflict

from .problems import BASE, Kind, kind_of

MEDIA_TYPE = "application/problem+json"

_OF_THE_REQUEST: tuple[tuple[type[Exception], str], ...] = (
    (exceptions.ParseError, "bad-json"),
    (exceptions.NotAuthenticated, "not-signed-in"),
    (exceptions.AuthenticationFailed, "not-signed-in"),
    (exceptions.PermissionDenied, "not-allowed"),
    (DjangoPermissionDenied, "not-allowed"),
    (exceptions.NotFound, "not-found"),
    (Http404, "not-found"),
    (exceptions.MethodNotAllowed, "method-not-allowed"),
    (exceptions.NotAcceptable, "not-acceptable"),
    (exceptions.UnsupportedMediaType, "media-type"),
    (exceptions.Throttled, "too-many-requests"),
)
# PostgreSQL: unique, check and exclusion violations. Any other broken integrity is a fault of ours.
_RULE_SQLSTATES = {"23505", "23514", "23P01"}
_SQLITE_RULE = re.compile(r"(?:CHECK|UNIQUE) constraint failed: (?:index ')?([\w., ]+)")


class KeyMissing(exceptions.APIException):
    """The request changes stock or money and carries no Idempotency-Key."""

    status_code = 400
    default_code = "idempotency-key-missing"
    default_detail = "This request changes stock or money: send the header Idempotency-Key with a fresh text."


def handle(error: Exception, _context: dict[str, Any]) -> Response | None:
    """REST framework's EXCEPTION_HANDLER; None leaves the error to Django as a fault of ours."""
    response = _answer(error)
    if response is not None:
        set_rollback()
    return response


def problem(
    code: str,
    detail: str,
    details: dict[str, Any] | None = None,
    *,
    kind: Kind | None = None,
    headers: dict[str, str] | None = None,
) -> Response:
    """A problem document; `details` become members of it beside the standard ones."""
    kind = kind or kind_of(code)
    body = {
        **(details or {}),
        "type": BASE + code,
        "title": kind.title,
        "status": kind.status,
        "detail": detail or kind.help,
        "code": code,
    }
    return Response(body, status=kind.status, content_type=MEDIA_TYPE, headers=headers)


def _answer(error: Exception) -> Response | None:
    if isinstance(error, ActError):
        kind = kind_of(error.code, moved_on=isinstance(error, Conflict))
        return problem(error.code, error.message, dict(error.details), kind=kind)
    if isinstance(error, exceptions.ValidationError):
        return problem("invalid", "", {"errors": error.detail})
    if isinstance(error, KeyMissing):
        return problem(KeyMissing.default_code, kind_of(KeyMissing.default_code).help)
    if isinstance(error, IntegrityError):
        return _broken_rule(error)
    code = next((code for of_class, code in _OF_THE_REQUEST if isinstance(error, of_class)), None)
    return _of_the_request(error, code) if code else None


def _of_the_request(error: Exception, code: str) -> Response:
    detail, headers = str(error), {}
    if code == "not-signed-in":
        headers["WWW-Authenticate"] = getattr(error, "auth_header", None) or "Token"
    if code == "not-found":
        detail = ""
    if code == "not-allowed" and detail.startswith("CSRF"):
        code = "csrf-failed"
    if wait := getattr(error, "wait", None):
        headers["Retry-After"] = str(int(wait) + 1)
    return problem(code, detail, headers=headers)


def _broken_rule(error: IntegrityError) -> Response | None:
    """A constraint stopped the act: somebody else was quicker, or the figures cannot be true."""
    name = _constraint(error)
    if name is None:
        return None
    return problem(
        "conflict",
        f"The database keeps the rule {name.replace('_', ' ')!r}, and this would have broken it; nothing "
        "was changed. Read the things concerned again: somebody may have been quicker.",
        {"constraint": name},
    )


def _constraint(error: IntegrityError) -> str | None:
    cause = error.__cause__
    if getattr(cause, "sqlstate", None) in _RULE_SQLSTATES:
        return str(cause.diag.constraint_name)  # type: ignore[union-attr]  # psycopg's error has diag
    match = _SQLITE_RULE.search(str(error))
    return match[1] if match else None
