"""Talking to the API as somebody at a desk, and what a problem document looks like."""

from __future__ import annotations

import uuid
from collections.abc import Callable
from typing import Any

from django.contrib.auth.models import User
from rest_framework.test import APIClient

MEMBERS = {"type", "title", "status", "detail", "code"}


class Caller:
    """One user's client; every POST has a fresh Idempotency-Key unless one is given."""

    def __init__(self, user: User | None) -> None:
        self.client = APIClient()
        self.user = user
        if user is not None:
            self.client.force_authenticate(user)

    def get(self, path: str, **query: Any) -> Any:
        return self.client.get(f"/api/{path}", query)

    def post(self, path: str, body: Any = None, *, key: str | None = None) -> Any:
        """`key=""` sends no Idempotency-Key."""
        key = uuid.uuid4().hex if key is None else key
        headers = {"Idempotency-Key": key} if key else {}
        return self.client.post(f"/api/{path}", {} if body is None else body, headers=headers)

    def made(self, path: str, body: Any = None) -> Any:
        """POST what has to succeed, and return the answer's body."""
        response = self.post(path, body)
        assert response.status_code in (200, 201), response.content
        return response.json()

    def read(self, path: str, **query: Any) -> Any:
        """GET what has to be there, and return the answer's body."""
        response = self.get(path, **query)
        assert response.status_code == 200, response.content
        return response.json()


Api = Callable[[str], Caller]


def problem(response: Any, status: int, code: str) -> Any:
    """The problem document of a response, which has to be one of this status and code."""
    assert response.status_code == status, response.content
    assert response["Content-Type"] == "application/problem+json"
    document = response.json()
    assert document.keys() >= MEMBERS
    assert (document["status"], document["code"]) == (status, code), document
    assert document["type"] == f"/api/problems/{code}"
    assert document["title"] and document["detail"]
    return document
