"""What the OpenAPI description says of every operation: the key to send, and the problems to expect."""

from __future__ import annotations

from typing import Any

from drf_spectacular.openapi import AutoSchema
from drf_spectacular.utils import OpenApiParameter, OpenApiResponse
from rest_framework import serializers

from . import errors, keys

_KEY_HELP = (
    "A fresh unique text, such as a UUID, for each new request. The same key with the same request gets "
    "the first answer again, with the header Idempotency-Replayed: true, and nothing is done twice."
)


class ProblemSerializer(serializers.Serializer[dict[str, Any]]):
    """RFC 9457. `code` is stable; further members depend on it and are listed at /api/problems/."""

    type = serializers.CharField()
    title = serializers.CharField()
    status = serializers.IntegerField()
    detail = serializers.CharField()
    code = serializers.CharField()
    errors = serializers.DictField(  # type: ignore[assignment]  # a field of ours
        required=False, help_text="What each field wants, for code invalid."
    )


class Schema(AutoSchema):
    """The shop's AutoSchema (DEFAULT_SCHEMA_CLASS)."""

    def get_override_parameters(self) -> list[Any]:
        """The Idempotency-Key header where the handler takes one."""
        required = self._key_required()
        if required is None:
            return []
        return [OpenApiParameter(keys.HEADER, str, "header", required=required, description=_KEY_HELP)]

    # The two places where the library writes bounds. Those of the database's integers differ between
    # PostgreSQL and SQLite, and the description must not.
    def _insert_min_max(self, field: Any, content: Any) -> None:
        if not _is_the_databases_integer(field):
            super()._insert_min_max(field, content)

    def _insert_field_validators(self, field: Any, schema: Any) -> None:
        if not _is_the_databases_integer(field):
            super()._insert_field_validators(field, schema)  # type: ignore[no-untyped-call]  # the library's

    def _get_response_bodies(self, direction: Any = "response") -> Any:
        bodies = super()._get_response_bodies(direction)
        for status, text in self._problems().items():
            response = OpenApiResponse(ProblemSerializer, text)
            bodies[status] = self._get_response_for_code(  # type: ignore[no-untyped-call]  # the library's own
                response, status, [errors.MEDIA_TYPE], direction
            )
        return bodies

    def _problems(self) -> dict[str, str]:
        texts = {"401": "Not signed in", "403": "Not for this desk"}
        if "{" in self.path or self.method == "POST":
            texts["404"] = "No such thing"
        if self.method == "POST":
            texts |= {"400": "Not a fitting request", "409": "The state has moved on", "422": "Refused"}
        return dict(sorted(texts.items()))

    def _key_required(self) -> bool | None:
        name = getattr(self.view, "action", None) or self.method.lower()
        return getattr(getattr(self.view, name, None), "key_required", None)


def _is_the_databases_integer(field: Any) -> bool:
    return isinstance(field, serializers.IntegerField) and isinstance(
        field.parent, serializers.ModelSerializer
    )
