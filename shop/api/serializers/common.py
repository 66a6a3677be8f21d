"""What several groups share: parts in brief, words of verdicts, lengths for people, promises."""

from __future__ import annotations

import enum
from typing import Any, TypeVar

from django.db.models import Model
from rest_framework import serializers

from inventory.models import Part
from kits.fit import Verdict

M = TypeVar("M", bound=Model)

MOST_AT_ONCE = 200


class Word(serializers.ChoiceField):
    """An enum member answered as its value, the word that people use."""

    def to_representation(self, value: Any) -> Any:
        return value.value if isinstance(value, enum.Enum) else super().to_representation(value)


class VerdictField(Word):
    """goes together, goes with work, measure first, does not go."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(choices=[verdict.value for verdict in Verdict], read_only=True, **kwargs)


class Price(serializers.DecimalField):
    """Money as a string with two decimals, in the shop's currency."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(max_digits=12, decimal_places=2, **kwargs)


class CodeField(serializers.SlugRelatedField[M]):
    """A thing named by its code."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(slug_field="code", **kwargs)

    def to_internal_value(self, data: Any) -> M:
        # PostgreSQL takes no NUL, not even to look for it.
        if not isinstance(data, str) or "\x00" in data:
            self.fail("invalid")
        return super().to_internal_value(data)


class IdField(serializers.PrimaryKeyRelatedField[M]):
    """A thing named by its id, a whole number."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(pk_field=serializers.IntegerField(), **kwargs)


class IdsField(serializers.ListField):
    """Ids of several things; the handler looks them up at once with `shared.all_of`."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(
            child=serializers.IntegerField(min_value=1), allow_empty=False, max_length=MOST_AT_ONCE, **kwargs
        )


class PartBrief(serializers.ModelSerializer[Part]):
    """A part where another thing refers to it. Needs select_related("maker")."""

    maker = serializers.CharField(source="maker.name")

    class Meta:
        model = Part
        fields = ("id", "maker", "number", "name")
        read_only_fields = fields
