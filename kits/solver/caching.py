"""Caches that belong to one engine."""

from __future__ import annotations

from typing import TypeVar

Key = TypeVar("Key")
Value = TypeVar("Value")


class Cache(dict[Key, Value]):
    """What was worked out before; it stays behind when its engine is pickled."""

    def __init__(self) -> None:
        super().__init__()
        self.sizes: dict[Key, int] = {}

    def __reduce__(self) -> tuple[type[Cache[Key, Value]], tuple[()]]:
        return type(self), ()

    def keep(self, key: Key, value: Value, size: int, room: int) -> None:
        """Remember it, and forget the oldest others until all together are no larger than `room`."""
        self[key], self.sizes[key] = value, size
        for old in list(self):
            if old == key or sum(tuple(self.sizes.values())) <= room:  # Another thread may keep something.
                return
            self.pop(old, None)
            self.sizes.pop(old, None)
