"""A scene is the same for every test that asks for it, whatever the test before did, and for no other."""

from collections.abc import Callable, Iterator
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.db import connection, transaction

from inventory.models import Maker
from tests.scenes import Scene, Scenes

pytestmark = pytest.mark.main_job

BUILT: list[str] = []


def build() -> list[Maker]:
    BUILT.append("once")
    return [Maker.objects.create(code="of the scene", name="Corran")]


@pytest.fixture(scope="class")
def makers_scene(scenes: Scenes) -> Iterator[Scene[list[Maker]]]:
    with scenes.on("makers", build) as scene:
        yield scene


@pytest.fixture
def makers(makers_scene: Scene[list[Maker]], db: None) -> list[Maker]:
    return makers_scene.shown()


def spoil(makers: list[Maker]) -> None:
    """What the test sees is the scene; what it leaves is not."""
    assert [maker.name for maker in makers] == ["Corran"]
    assert list(Maker.objects.all()) == makers
    assert BUILT == ["once"]
    makers[0].name = "Spoilt"
    makers[0].save()
    makers.append(Maker.objects.create(code="left over", name="Left over"))


@pytest.mark.parametrize("time", ["first", "again"])
def test_what_a_test_rolls_back_is_not_seen_by_the_next(makers: list[Maker], time: str) -> None:
    assert connection.in_atomic_block
    spoil(makers)


@pytest.mark.parametrize("time", ["first", "again"])
def test_what_a_test_commits_is_not_seen_by_the_next(
    makers: list[Maker], run_in_threads: Callable[..., list[Any]], time: str
) -> None:
    """It is seen by the test's other connections, though."""
    assert not connection.in_atomic_block
    assert run_in_threads(lambda: list(Maker.objects.all())) == [makers]
    spoil(makers)
    assert run_in_threads(Maker.objects.count) == [2]


@pytest.mark.parametrize("time", ["first", "again"])
def test_who_asks_for_no_scene_is_in_none(db: None, time: str) -> None:
    assert not Maker.objects.exists()


def test_the_ledger_of_a_scene_is_guarded_too(makers: list[Maker]) -> None:
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT count(*) FROM sqlite_master WHERE type = 'trigger'"
            if connection.vendor == "sqlite"
            else "SELECT count(*) FROM pg_trigger WHERE NOT tgisinternal AND tgenabled <> 'D'"
        )
        assert cursor.fetchone()[0] > 0


def test_two_scenes_at_once_are_refused(scenes: Scenes, makers_scene: Scene[list[Maker]], db: None) -> None:
    with (
        scenes.on("nobody", User.objects.count),
        pytest.raises(AssertionError, match="one scene in a test"),
        transaction.atomic(),
    ):
        makers_scene.shown()


@pytest.mark.usefixtures("transactional_db")
def test_a_connection_that_a_thread_left_open_does_not_stop_a_scene(scenes: Scenes) -> None:
    left = connection.copy()
    left.ensure_connection()
    try:
        with scenes.on("with somebody there", build) as scene:
            assert scene.stage is not None
    finally:
        BUILT.remove("once")
        left.close()
