"""What is counted, and decided about what was found."""

from __future__ import annotations

from inventory.models import Balance, Correction, CountLine

from .looking import Args, Looking

OFF = [-2, -1, 0, 1, 2]


class Counting(Looking):
    def count(self) -> Args | None:
        """Mostly a few more or fewer; now and then so many that somebody else has to approve it."""
        found = self._bin()
        off = self.chance.choice([*OFF, 20])
        return found and {"part": found[0], "place": found[1], "found": max(0, found[2] + off)}

    def recount(self) -> Args | None:
        """What a picker did not find is mostly there after all."""
        states = [CountLine.State.TO_COUNT, CountLine.State.AGAIN]
        line = self._row(CountLine.objects.filter(state__in=states), "pk", "part", "place")
        if line is None:
            return None
        pk, part, place = line
        there = sum(Balance.objects.filter(part=part, place=place).values_list("quantity", flat=True))
        off = self.chance.choice([0, 0, *OFF])
        return {"line": pk, "part": part, "place": place, "found": max(0, there + off)}

    def approve(self) -> Args | None:
        return self._asked()

    def refuse(self) -> Args | None:
        return self._asked()

    def _asked(self) -> Args | None:
        found = self._row(Correction.objects.filter(state=Correction.State.ASKED), "pk")
        return found and {"correction": found[0]}
