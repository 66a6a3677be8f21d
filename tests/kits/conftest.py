"""The belt pump conversion, and a kit of it at the counter."""

import pytest

from kits.customising import open_kit
from kits.models import CustomKit
from tests.clerks import Clerk
from tests.kits.builders import Conversion, belt_pump


@pytest.fixture
def draft(db: None) -> Conversion:
    return belt_pump()


@pytest.fixture
def belt(draft: Conversion) -> Conversion:
    return draft.released()


@pytest.fixture
def kit(belt: Conversion, clerk: Clerk) -> CustomKit:
    return open_kit(clerk("counter"), belt.template, belt.engine)
