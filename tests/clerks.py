"""Somebody at each desk, and the demo shop to work in."""

from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager
from datetime import date

import pytest
from django.contrib.auth.models import Group, User

from tests.scenes import Scene, Scenes

Clerk = Callable[[str], User]


@pytest.fixture
def clerk(db: None) -> Clerk:
    """`clerk("counter")` is a user with the rights of that desk; the same one throughout a test."""
    return clerks()


def clerks() -> Clerk:
    """Finds who is at the desk already, in a scene, or puts somebody there."""
    users: dict[str, User] = {}

    def at(desk: str) -> User:
        if desk not in users:
            name = f"clerk-{desk}"
            user = User.objects.filter(username=name).first()
            if user is None:
                user = User.objects.create_user(name)
                user.groups.add(Group.objects.get(name=desk))
            users[desk] = user
        return users[desk]

    return at


def demo_of(scenes: Scenes, today: date) -> AbstractContextManager[Scene[date]]:
    """The scenario as of that day; whatever the day, it is loaded once."""

    def load() -> date:
        from shop import demo as scenario

        scenario.load(today)
        return today

    return scenes.on(f"demo of {today}", load)


@pytest.fixture(scope="class")
def demo_scene(scenes: Scenes) -> Iterator[Scene[date]]:
    from django.utils import timezone

    with demo_of(scenes, timezone.localdate()) as scene:
        yield scene


@pytest.fixture
def demo(demo_scene: Scene[date], db: None) -> date:
    """The demo scenario, loaded as of today; the value is that day."""
    return demo_scene.shown()
