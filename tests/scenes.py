"""Scenes: databases in which the rows that many tests begin with are there already.

A scene is built and committed once for each process of a run, then copied whole, with its sequences and
triggers. A test works on the copy. Most roll back what they do and leave the copy as it was; after one
that commits, and so is flushed, the copy is thrown away and the next test gets a new one.
"""

import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from copy import deepcopy
from dataclasses import dataclass
from itertools import count
from typing import Any, Generic, TypeVar

import pytest
from django.db import DEFAULT_DB_ALIAS, connections
from django.db.backends.base.base import BaseDatabaseWrapper
from pytest_django import DjangoDbBlocker

from tests.plugin import PASSING

T = TypeVar("T")


@dataclass
class Scene(Generic[T]):
    """What `build` returned, and the two databases: one that nobody touches, one that a test is in."""

    value: T
    kept: BaseDatabaseWrapper
    stage: BaseDatabaseWrapper | None = None
    committed: bool = False

    def shown(self) -> T:
        """The value, a copy for this test alone; ask for it when the test's transaction is open."""
        assert self.stage is connections[DEFAULT_DB_ALIAS], "Ask for one scene in a test."
        self.committed = not self.stage.in_atomic_block
        return deepcopy(self.value)


class Scenes:
    """The scenes of this process, by name."""

    def __init__(self, blocker: DjangoDbBlocker) -> None:
        self._blocker = blocker
        self._numbers = count(1)
        self._scenes: dict[str, Scene[Any]] = {}

    @contextmanager
    def on(self, name: str, build: Callable[[], T]) -> Iterator[Scene[T]]:
        """While this lasts every new connection, of any thread, is to the scene of that name."""
        with self._blocker.unblock():
            scene = self._scenes.get(name)
            if scene is None:
                scene = self._scenes[name] = self._built(build)
            if scene.stage is None:
                scene.stage = self._copy(scene.kept)
        scene.committed = False
        with connected(scene.stage):
            yield scene
        if scene.committed:
            with self._blocker.unblock():
                self._drop(scene.stage)
            scene.stage = None

    def close(self) -> None:
        """Leave every scene; on a server that stays, take them away."""
        left = [made for scene in self._scenes.values() for made in (scene.kept, scene.stage) if made]
        with self._blocker.unblock():
            for made in left:
                if PASSING in os.environ:
                    made.close()
                else:
                    self._drop(made)

    def _built(self, build: Callable[[], T]) -> Scene[T]:
        kept = self._copy(connections[DEFAULT_DB_ALIAS])
        with connected(kept):
            value = build()
        return Scene(value, kept)

    def _copy(self, source: BaseDatabaseWrapper) -> BaseDatabaseWrapper:
        """A name of its own each time, since a thread may not quite have left the one before."""
        source.close()  # Neither database can be copied whole while somebody is writing it.
        if source.vendor == "postgresql":
            send_home(source)
        suffix = str(next(self._numbers))
        source.creation.clone_test_db(suffix, verbosity=0)
        made = source.copy()
        made.settings_dict["NAME"] = source.creation.get_test_db_clone_settings(suffix)["NAME"]
        return made

    def _drop(self, made: BaseDatabaseWrapper) -> None:
        made.close()
        made.creation.destroy_test_db(verbosity=0)


def send_home(database: BaseDatabaseWrapper) -> None:
    """End what threads of past tests have left open: PostgreSQL copies no database that is in use."""
    with database._nodb_cursor() as cursor:
        cursor.execute(
            "SELECT pg_terminate_backend(pid, 5000) FROM pg_stat_activity"
            " WHERE datname = %s AND pid <> pg_backend_pid() AND backend_type = 'client backend'",
            [database.settings_dict["NAME"]],
        )


@contextmanager
def connected(to: BaseDatabaseWrapper) -> Iterator[None]:
    """This thread talks over that connection, and threads that start make theirs to the same database."""
    settings = connections.settings[DEFAULT_DB_ALIAS]
    before, name = connections[DEFAULT_DB_ALIAS], settings["NAME"]
    connections[DEFAULT_DB_ALIAS], settings["NAME"] = to, to.settings_dict["NAME"]
    try:
        yield
    finally:
        connections[DEFAULT_DB_ALIAS], settings["NAME"] = before, name


@pytest.fixture(scope="session")
def scenes(django_db_setup: None, django_db_blocker: DjangoDbBlocker) -> Iterator[Scenes]:
    """For fixtures of scope "class": pytest sets these up before the test's transaction, for one test each.

    Without a class, a test is its own.
    """
    made = Scenes(django_db_blocker)
    yield made
    made.close()
