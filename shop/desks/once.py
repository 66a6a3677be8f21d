"""A form's one-time key: a double click, or a form that is sent again, acts once.

`{% once %}` puts a fresh key into a form. The place to go to is kept under it with the act, so whoever
sends the same form again goes there too, and nothing is done twice. A form without a key, such as one of a
page that was open before the shop got keys, acts as often as it is sent: to turn away what somebody has
typed would be worse.
"""

from __future__ import annotations

import hashlib
import json
import secrets
from collections.abc import Callable
from dataclasses import dataclass

from django.contrib.auth.models import User
from django.http import HttpRequest

from inventory.acting import Conflict
from shop.answering import KeyReused, answer_once

FIELD = "once"
SEE_OTHER = 303
_NOT_TYPED = {FIELD, "csrfmiddlewaretoken"}


@dataclass(frozen=True)
class Sent:
    """Where to go after a form; `again` when it had been sent, and done, before."""

    to: str
    again: bool


def fresh_key() -> str:
    return secrets.token_urlsafe(16)


def send_once(user: User, request: HttpRequest, do: Callable[[], str]) -> Sent:
    """Do what the form of this request asks for, unless this very form has been done: see `Sent`.

    `do` returns the place to go to. Raises Conflict when the key has been used with other content.
    """
    key = request.POST.get(FIELD, "")
    if not key:
        return Sent(do(), again=False)
    try:
        answer = answer_once(
            user, f"form {_digest(key)}", _fingerprint(request), lambda: (SEE_OTHER, {"to": do()})
        )
    except KeyReused as reused:
        raise Conflict(
            "This form was sent before with other content, and that was done. Look at what came of it. "
            "What you typed is still here: send it once more if it is to be done as well.",
            code="form-sent-before",
        ) from reused
    return Sent(answer.body["to"], again=answer.replayed)


def _fingerprint(request: HttpRequest) -> str:
    """The address and all that was typed or pressed, whatever the order."""
    typed = sorted((name, values) for name, values in request.POST.lists() if name not in _NOT_TYPED)
    return _digest(json.dumps([request.get_full_path(), typed]))


def _digest(text: str) -> str:
    return hashlib.sha256(text.encode(errors="surrogatepass")).hexdigest()
