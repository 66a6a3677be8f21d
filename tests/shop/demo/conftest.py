"""The demo scenario as of a day of its own."""

from collections.abc import Iterator
from datetime import date

import pytest

from tests.clerks import demo_of
from tests.scenes import Scene, Scenes

TODAY = date(2031, 3, 17)


@pytest.fixture(scope="class")
def loaded(scenes: Scenes) -> Iterator[Scene[date]]:
    with demo_of(scenes, TODAY) as scene:
        yield scene


@pytest.fixture
def shop(loaded: Scene[date], db: None) -> date:
    """The day as of which the scenario was loaded."""
    return loaded.shown()
