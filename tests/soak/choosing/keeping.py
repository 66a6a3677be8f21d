"""What is kept for whom."""

from __future__ import annotations

from inventory.models import Reservation

from .looking import Args, Looking


class Keeping(Looking):
    def hold(self) -> Args:
        return {"wants": self._wants(), "until": self._until()}

    def commit(self) -> Args:
        return {"wants": self._wants()}

    def commit_before_holds(self) -> Args:
        return {"wants": self._wants()}

    def make_commitment(self) -> Args | None:
        return self._one_of(self._alive(kind=Reservation.Kind.HOLD))

    def prolong(self) -> Args | None:
        found = self._one_of(self._alive(kind=Reservation.Kind.HOLD))
        return found and {**found, "until": self._until()}

    def change(self) -> Args | None:
        found = self._one_of(self._alive(kind=Reservation.Kind.HOLD) or self._alive())
        return found and {**found, "wants": self._wants()}

    def release(self) -> Args | None:
        return self._one_of(self._alive())
