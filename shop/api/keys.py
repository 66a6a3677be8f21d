"""Idempotency-Key: a handler marked with `keyed` runs once for each key that a user sends."""

from __future__ import annotations

import functools
import hashlib
import json
from collections.abc import Callable
from typing import Any

from rest_framework.exceptions import ValidationError
from rest_framework.renderers import JSONRenderer
from rest_framework.request import Request
from rest_framework.response import Response

from shop.answering import LONGEST_KEY, answer_once

from .errors import KeyMissing
from .people import acting_user

Handler = Callable[..., Response]

HEADER = "Idempotency-Key"
REPLAYED = "Idempotency-Replayed"


def keyed(*, required: bool = True) -> Callable[[Handler], Handler]:
    """Answer a repeated key with the first answer. Without `required` a request may come without key."""

    def decorate(handler: Handler) -> Handler:
        @functools.wraps(handler)
        def answering(view: Any, request: Request, *args: Any, **kwargs: Any) -> Response:
            key = _key(request, required=required)
            if not key:
                return handler(view, request, *args, **kwargs)

            def run() -> tuple[int, Any]:
                response = handler(view, request, *args, **kwargs)
                return response.status_code, json.loads(JSONRenderer().render(response.data))

            answer = answer_once(acting_user(request), key, _fingerprint(request), run)
            headers = {REPLAYED: "true"} if answer.replayed else {}
            return Response(answer.body, status=answer.status, headers=headers)

        answering.key_required = required  # type: ignore[attr-defined]  # read by shop.api.schema
        return answering

    return decorate


def _key(request: Request, *, required: bool) -> str:
    key = request.headers.get(HEADER, "").strip()
    if required and not key:
        raise KeyMissing
    if len(key) > LONGEST_KEY:
        raise ValidationError({HEADER: [f"A key has at most {LONGEST_KEY} characters; a UUID will do."]})
    return key


def _fingerprint(request: Request) -> str:
    """Method, address and content, so that the same key with another request is noticed."""
    content = json.dumps(request.data, sort_keys=True)
    whole = f"{request.method} {request.get_full_path()}\n{content}"
    return hashlib.sha256(whole.encode()).hexdigest()
