"""Short words for the steps of the main job."""

from collections.abc import Callable

import pytest
from django.contrib.auth.models import User

from kits import customising
from kits.models import CustomKit, Engine, KitTemplate
from shop import quoting
from shop.models import Customer, Quote
from tests.job import scenario

OpenKit = Callable[..., CustomKit]
QuoteKits = Callable[..., Quote]


@pytest.fixture
def open_kit() -> OpenKit:
    """`open_kit(counter, "belt-front", "HED-11", adaptor="tarrowby TL/6-300")`: a kit, with its swaps."""

    def opened(counter: User, template: str, engine: str, **swaps: str) -> CustomKit:
        kit = customising.open_kit(
            counter, KitTemplate.objects.get(code=template), Engine.objects.get(code=engine)
        )
        for slot, label in swaps.items():
            customising.swap(counter, kit, slot, f"parts:{scenario.part(label).pk}")
        return kit

    return opened


@pytest.fixture
def quote_kits() -> QuoteKits:
    """`quote_kits(counter, kit, quantity)` for a customer of the scenario."""

    def quoted(counter: User, kit: CustomKit, quantity: int = 1) -> Quote:
        return quoting.quote(counter, Customer.objects.get(name="Pim Vale"), [(kit, quantity)])

    return quoted
