"""Errors of the fit package, and its one check of argument types."""

from __future__ import annotations

from typing import Any


class FitError(ValueError):
    """A value that the fit package cannot use; the message says what to do instead."""


class LengthError(FitError):
    """A text or number that is not an exact length."""


def expect(value: Any, kind: type | tuple[type, ...], what: str) -> None:
    """Raise TypeError unless value is of that kind; a bool never counts as a number."""
    kinds = kind if isinstance(kind, tuple) else (kind,)
    wrong_bool = isinstance(value, bool) and bool not in kinds
    if wrong_bool or not isinstance(value, kinds):
        names = " or ".join(k.__name__ for k in kinds)
        raise TypeError(f"{what} must be {names}, not {type(value).__name__} {value!r}")


def expect_fields(instance: object, **kinds: type | tuple[type, ...]) -> None:
    """Raise TypeError unless each named field of a dataclass is of its kind."""
    for field, kind in kinds.items():
        expect(getattr(instance, field), kind, f"{type(instance).__name__}.{field}")


def expect_call(value: object, what: str) -> None:
    """Raise TypeError unless value can be called."""
    if not callable(value):
        raise TypeError(f"{what} must be something to call, not {type(value).__name__} {value!r}")


def expect_items(items: tuple[Any, ...], kind: type, what: str) -> None:
    """Raise TypeError unless it is a tuple with every item of that kind."""
    expect(items, tuple, what)
    for item in items:
        expect(item, kind, f"each of {what}")
