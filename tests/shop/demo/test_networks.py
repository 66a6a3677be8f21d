"""The demo's templates as networks, against judging kit by kit."""

from collections import OrderedDict
from collections.abc import Mapping
from datetime import date
from random import Random

import pytest

from kits.compiling import keeping
from kits.compiling.network import network_of
from kits.conversion import OWN
from kits.models import TemplateRevision
from kits.reading import read_conversion
from kits.solver import Cost, Solver, compile
from tests.kits.compiling.kits import Networked, some_kits

KITS = 150


@pytest.mark.parametrize("code", ["belt-front", "flexible-drive", "raw-water-aside"])
def test_kits_filled_at_random_are_as_judging_has_them(shop: date, code: str) -> None:
    revision = TemplateRevision.objects.get(template__code=code)
    chance = Random(code)
    engine = chance.choice(list(revision.engines.order_by("code")))
    conversion = read_conversion(revision, engine)
    networked = Networked.of(conversion)
    verdicts = set()
    for kit in some_kits(conversion, networked.fillings, KITS, chance):
        by_judging = networked.judged(kit)
        assert networked.said(kit) == by_judging, {i: filling.key for i, filling in kit.items()}
        verdicts.add(by_judging[0])
    assert verdicts == {"goes", "measure first", "does not go"}


@pytest.mark.parametrize("code", ["belt-front", "flexible-drive", "raw-water-aside"])
def test_what_is_left_of_a_network_answers_as_one_made_anew(
    shop: date, code: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    revision = TemplateRevision.objects.get(template__code=code)
    conversion = read_conversion(revision, revision.engines.order_by("code")[0])
    networked, chance = Networked.of(conversion), Random(code)
    fewer = {
        slot_id: {key: filling for key, filling in of_slot.items() if key != OWN}
        for slot_id, of_slot in networked.fillings.items()
    }
    anew = compile(network_of(conversion, fewer).network)
    wider = keeping.kept_for(conversion, networked.fillings)
    monkeypatch.setattr(keeping, "_here", OrderedDict())
    monkeypatch.setattr(keeping, "network_of", None)  # Nothing is judged again.
    left = keeping.kept_for(conversion, fewer, among=wider).solver
    for _ in range(20):
        slots = chance.sample(conversion.slots, chance.randint(0, 3))
        choices = {slot.code: chance.choice(list(fewer[slot.id])) for slot in slots}
        assert left.count(choices) == anew.count(choices)
        told, as_before = (one.changes(choices, costs_in(one, networked.costs)) for one in (left, anew))
        assert all(told[slot.code] == as_before[slot.code] for slot in conversion.slots)


def costs_in(solver: Solver, costs: Mapping[Cost, int]) -> dict[Cost, int]:
    """The costs of what a network has: without the customer's own there may be nothing to measure."""
    values = solver.network.variables
    return {one: cost for one, cost in costs.items() if one[1] in values.get(one[0], ())}
