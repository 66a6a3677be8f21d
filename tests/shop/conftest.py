"""The small shop, for tests of single acts."""

from collections.abc import Iterator

import pytest

from tests.clerks import clerks
from tests.scenes import Scene, Scenes
from tests.shop import small


@pytest.fixture(scope="class")
def small_shop_scene(scenes: Scenes) -> Iterator[Scene[small.SmallShop]]:
    def build() -> small.SmallShop:
        clerk = clerks()
        return small.build(clerk("counter"), clerk("catalogue"))

    with scenes.on("small shop", build) as scene:
        yield scene


@pytest.fixture
def small_shop(small_shop_scene: Scene[small.SmallShop], db: None) -> small.SmallShop:
    """Built and committed before the test, so two connections see it whole."""
    return small_shop_scene.shown()
