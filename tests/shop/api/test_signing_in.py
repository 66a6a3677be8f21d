"""Tokens and sessions."""

from typing import Any

import pytest
from django.contrib.auth.models import User
from django.core.cache import cache
from django.test import Client

from tests.clerks import Clerk
from tests.shop.api.talking import problem

PASSWORD = "salt and rope"


@pytest.fixture
def counter(clerk: Clerk) -> User:
    cache.clear()
    user = clerk("counter")
    user.set_password(PASSWORD)
    user.save()
    return user


def sign_in(password: str, username: str = "clerk-counter") -> Any:
    body = {"username": username, "password": password}
    return Client().post("/api/sign-in/", body, content_type="application/json")


@pytest.mark.main_job
def test_a_password_gets_a_token_and_the_token_signs_in(counter: User) -> None:
    token = sign_in(PASSWORD).json()["token"]
    headers = {"Authorization": f"Token {token}"}
    assert Client().get("/api/parts/", headers=headers).status_code == 200


@pytest.mark.parametrize("username", ["clerk-counter", "nobody"])
def test_a_wrong_password_is_refused_alike_for_known_and_unknown(counter: User, username: str) -> None:
    document = problem(sign_in("guess", username), 401, "not-signed-in")
    assert "not known together" in document["detail"]


def test_a_missing_password_is_named(counter: User) -> None:
    response = Client().post("/api/sign-in/", {"username": "clerk-counter"}, content_type="application/json")
    assert "password" in problem(response, 400, "invalid")["errors"]


def test_guessing_is_slow(counter: User) -> None:
    for _ in range(20):
        problem(sign_in("guess"), 401, "not-signed-in")
    assert "Retry-After" in sign_in("guess")
    problem(sign_in(PASSWORD), 429, "too-many-requests")
    cache.clear()


def test_a_made_up_token_is_refused(db: None) -> None:
    response = Client().get("/api/parts/", headers={"Authorization": "Token 123"})
    problem(response, 401, "not-signed-in")


def test_a_user_who_has_left_is_refused(counter: User) -> None:
    token = sign_in(PASSWORD).json()["token"]
    counter.is_active = False
    counter.save()
    response = Client().get("/api/parts/", headers={"Authorization": f"Token {token}"})
    problem(response, 401, "not-signed-in")


def test_a_session_reads(counter: User) -> None:
    client = Client()
    client.force_login(counter)
    assert client.get("/api/parts/").status_code == 200


def test_a_session_writes_only_with_the_browsers_token(counter: User) -> None:
    client = Client(enforce_csrf_checks=True)
    client.force_login(counter)
    body, form = {"name": "Ines"}, "application/json"
    problem(client.post("/api/customers/", body, content_type=form), 403, "csrf-failed")
    client.cookies["csrftoken"] = token = "a" * 32
    headers = {"X-CSRFToken": token}
    response = client.post("/api/customers/", body, content_type=form, headers=headers)
    assert response.status_code == 201
