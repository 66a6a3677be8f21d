"""The commands that a person types: load_demo and demo."""

import os
import socket
from collections.abc import Iterator
from datetime import date
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.contrib.auth import authenticate
from django.contrib.auth.models import User
from django.core.management import CommandError, call_command
from django.db import connections

from inventory.models import Maker
from shop.demo import is_loaded
from shop.demo.people import SIGN_INS, make_people
from shop.management.commands import demo


def said(command: str, **options: Any) -> str:
    out = StringIO()
    call_command(command, stdout=out, **options)
    return out.getvalue()


def test_load_demo_loads_once_and_then_says_that_it_is_there(db: None) -> None:
    assert "12 engines" in said("load_demo", today=date(2031, 3, 17))
    makers = Maker.objects.count()
    assert "loaded already; nothing was changed" in said("load_demo")
    assert Maker.objects.count() == makers


def test_everybody_can_sign_in_at_one_desk(db: None) -> None:
    make_people()
    make_people()
    for who in SIGN_INS:
        user = authenticate(username=who.desk, password=who.password)
        assert isinstance(user, User)
        assert [group.name for group in user.groups.all()] == [who.desk]
    assert User.objects.filter(is_superuser=True).count() == 0


def test_a_password_that_somebody_changed_is_left_alone(db: None) -> None:
    make_people()
    user = User.objects.get(username="floor")
    user.set_password("another long one")
    user.save()
    make_people()
    assert authenticate(username="floor", password="another long one") == user


@pytest.fixture
def served(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> list[list[str]]:
    """What the demo would have served with; nothing is served."""
    commands: list[list[str]] = []
    monkeypatch.setattr(os, "execv", lambda _program, command: commands.append(command))
    monkeypatch.setattr(connections, "close_all", lambda: None)  # The test still needs its own.
    monkeypatch.setattr(settings, "STATIC_ROOT", tmp_path / "static")
    return commands


@pytest.fixture
def taken_port() -> Iterator[int]:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        yield taken.getsockname()[1]


@pytest.fixture
def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
    return port


def test_demo_prepares_everything_and_says_how_to_get_in(
    db: None, served: list[list[str]], free_port: int
) -> None:
    text = said("demo", port=free_port)
    assert is_loaded()
    assert f"http://127.0.0.1:{free_port}/" in text
    assert [who.desk for who in SIGN_INS if who.password not in text] == []
    assert "for the demo only" in text
    assert f"127.0.0.1:{free_port}" in served[0]
    assert "loaded already" in said("demo", port=free_port)


def test_demo_names_the_option_when_the_port_is_taken(
    db: None, served: list[list[str]], taken_port: int
) -> None:
    with pytest.raises(CommandError, match=rf"Port {taken_port} cannot be used .* with --port"):
        said("demo", port=taken_port)
    assert served == []
    assert not is_loaded()


def test_demo_refuses_a_port_that_does_not_exist(served: list[list[str]]) -> None:
    with pytest.raises(CommandError, match="There is no port 70000"):
        said("demo", port=70000)


def test_demo_asks_for_threads_and_two_workers(db: None, served: list[list[str]], free_port: int) -> None:
    said("demo", port=free_port)
    words = served[0]
    assert words[words.index("--workers") + 1] == str(demo._WORKERS) == "2"
    assert int(words[words.index("--threads") + 1]) > 1
