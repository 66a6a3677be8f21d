"""The belt pump conversion, and a kit of it at the counter."""

from collections.abc import Iterator

import pytest

from kits.customising import open_kit
from kits.models import CustomKit
from tests.clerks import Clerk
from tests.kits.builders import Conversion, belt_pump
from tests.scenes import Scene, Scenes


@pytest.fixture(scope="class")
def belt_pump_scene(scenes: Scenes) -> Iterator[Scene[Conversion]]:
    with scenes.on("belt pump", belt_pump) as scene:
        yield scene


@pytest.fixture
def draft(belt_pump_scene: Scene[Conversion], db: None) -> Conversion:
    return belt_pump_scene.shown()


@pytest.fixture
def belt(draft: Conversion) -> Conversion:
    return draft.released()


@pytest.fixture
def kit(belt: Conversion, clerk: Clerk) -> CustomKit:
    return open_kit(clerk("counter"), belt.template, belt.engine)
