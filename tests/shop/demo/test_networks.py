"""The demo's templates as networks, against judging kit by kit."""

from datetime import date
from random import Random

import pytest

from kits.models import TemplateRevision
from kits.reading import read_conversion
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
