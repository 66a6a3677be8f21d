"""Filling an order up takes no longer for all the parts that could be in it."""

from decimal import Decimal
from fractions import Fraction

import pytest

from inventory.planning.filling import Filling, fill_up
from inventory.planning.suggesting import House, Line, Plan, Terms, Wanted


@pytest.mark.parametrize("parts", [1, 50])
def test_each_piece_that_is_added_looks_at_its_own_part_alone(
    parts: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    looked = []
    step = Filling._step

    def counted(self: Filling, one: Wanted) -> tuple[Fraction, int, int] | None:
        looked.append(one.part)
        return step(self, one)

    monkeypatch.setattr(Filling, "_step", counted)
    bolts = [Wanted(part, (Terms(1, Decimal("0.02")),), rate=Fraction(9)) for part in range(parts)]
    lines = {0: Line(0, 10, Decimal("0.02"), needed=10)}
    filled = fill_up(lines, bolts, House(1, least_value=Decimal(20)), Plan())
    assert sum(line.value for line in filled.values()) == 20
    assert len(looked) <= parts + 990  # Once for each part, and once for each piece that is added.
