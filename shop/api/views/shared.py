"""What handlers share: reading a body, looking up by id or by the printed number, answering."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, TypeVar

from django.db.models import Model, QuerySet
from django.http import Http404
from rest_framework import serializers
from rest_framework.request import Request

M = TypeVar("M", bound=Model)

# Ids are PostgreSQL's bigint: a longer row of digits names nothing.
LARGEST_ID = 2**63 - 1
ID_OR_NUMBER = r"[A-Z]?\d{1,19}"


def body(serializer: type[serializers.BaseSerializer[Any]], request: Request) -> dict[str, Any]:
    """The request's body, checked by the serializer."""
    reading = serializer(data=request.data)
    reading.is_valid(raise_exception=True)
    checked: dict[str, Any] = reading.validated_data
    return checked


def id_from(text: str, letter: str) -> int:
    """12 from '12' or from the printed number 'Q00012'; Http404 for another letter's number."""
    digits = text.removeprefix(letter)
    if not digits.isdecimal() or int(digits) > LARGEST_ID:
        raise Http404
    return int(digits)


def all_of(things: QuerySet[M], ids: Sequence[int], name: str) -> list[M]:
    """The things with these ids, in the order of `things`; the field `name` is at fault if one is missing."""
    found = list(things.filter(pk__in=ids))
    if missing := sorted(set(ids) - {thing.pk for thing in found}):
        raise serializers.ValidationError({name: [f"There is no {id_}." for id_ in missing]})
    return found


class ByNumber:
    """For viewsets of things with a printed number: `/Q00012/` is the same as `/12/`."""

    lookup_value_regex = ID_OR_NUMBER
    letter: str
    kwargs: dict[str, Any]

    def initial(self, request: Request, *args: Any, **kwargs: Any) -> None:
        super().initial(request, *args, **kwargs)  # type: ignore[misc]  # of the viewset beside it
        if "pk" in self.kwargs:
            self.kwargs["pk"] = id_from(self.kwargs["pk"], self.letter)
