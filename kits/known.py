"""What was found of a conversion's checks, kept from call to call for as long as its facts are the same.

A conversion is read anew with every call, so that a corrected dimension counts at once; a digest of what
its checks rest on says whether it is the one of before. Stock and prices are no part of that.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Iterator
from threading import Lock
from typing import Any, Final, Generic, TypeVar

from kits.conversion import Conversion
from kits.facts import digest, features_used, values_said, works_said

Thing = TypeVar("Thing")
CONVERSIONS: Final = 48
ANSWERS: Final = 50_000  # of one conversion; beyond that it begins anew


class Known(Generic[Thing]):
    """Things by key, of one conversion."""

    def __init__(self) -> None:
        self._things: dict[Any, Thing] = {}

    def get(self, key: Any) -> Thing | None:
        """What is kept under a key."""
        return self._things.get(key)

    def keep(self, key: Any, thing: Thing) -> Thing:
        """Keep it, and give it back."""
        if len(self._things) >= ANSWERS:
            self._things.clear()
        self._things[key] = thing
        return thing


_known: OrderedDict[str, tuple[Known[Any], Known[Any]]] = OrderedDict()
_lock = Lock()


def known_of(conversion: Conversion) -> tuple[Known[Any], Known[Any]]:
    """The terms and the findings that are known of a conversion with just these facts."""
    key = digest(_facts(conversion))
    with _lock:
        if key not in _known:
            _known[key] = Known(), Known()
        _known.move_to_end(key)
        while len(_known) > CONVERSIONS:
            _known.popitem(last=False)
        return _known[key]


def forget() -> None:
    """Begin with nothing, for a benchmark that wants the first time again."""
    with _lock:
        _known.clear()


def _facts(conversion: Conversion) -> Iterator[Any]:
    used = features_used(conversion)
    yield conversion.engine, values_said(conversion.engine_values, used)
    yield [(slot.id, slot.name, slot.quantity) for slot in conversion.slots]
    for part in conversion.parts.values():
        yield part.id, part.maker, part.number, part.category_id, values_said(part.values, used)
    yield [check.said for check in conversion.checks]
    yield works_said(conversion, used)
