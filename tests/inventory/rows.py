"""Rows of makeups, counts and corrections, for the tests that break a constraint with them."""

from typing import Any

from inventory.models import Correction, CountLine, CountRound, Makeup
from tests.inventory.builders import a_bin, a_lot, a_part, the_founder


def a_makeup(**values: Any) -> dict[str, Any]:
    return {"part": a_part(), "component": a_part(), "quantity": 1} | values


def made_up_of_itself() -> None:
    part = a_part()
    Makeup.objects.create(**a_makeup(part=part, component=part))


def a_round(**values: Any) -> CountRound:
    return CountRound.objects.create(**{"why": "doubt", "made_by": the_founder()} | values)


def a_count_line(**values: Any) -> dict[str, Any]:
    return {"round": a_round(), "sequence": 1, "place": a_bin(), "part": a_part()} | values


def counted_twice(**values: Any) -> None:
    line = a_count_line(**values)
    for sequence in (1, 2):
        CountLine.objects.create(**line | {"sequence": sequence})


def a_lot_counted_twice() -> None:
    part = a_part()
    counted_twice(part=part, lot=a_lot(part, "L1"))


def a_correction(**values: Any) -> None:
    given = {"part": a_part(), "place": a_bin(), "change": 1, "reason": "lost", "asked_by": the_founder()}
    Correction.objects.create(**given | values)
