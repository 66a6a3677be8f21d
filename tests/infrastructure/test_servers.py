"""The servers start, answer, keep apart, and go whatever becomes of their parent."""

import os
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from urllib.parse import urlsplit

import psycopg
import pytest
import redis
from redis.backoff import NoBackoff
from redis.retry import Retry

from tests.servers import Keeper, Postgres, ServerError, Valkey, postgres, valkey

PARENT = """
import sys, time
from tests.servers import Keeper, Postgres, Valkey
with Postgres() as postgres, Valkey() as valkey, Keeper() as scratch:
    print(postgres.keeper.directory, valkey.keeper.directory, scratch.directory, flush=True)
    time.sleep(60)
"""


def ask(url: str, question: str) -> object:
    with psycopg.connect(url) as connection:
        row = connection.execute(question.encode()).fetchone()
        assert row is not None
        return row[0]


def is_running(pid: int) -> bool:
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    return True


def comes_true(condition: Callable[[], bool], seconds: float = 20) -> bool:
    deadline = time.monotonic() + seconds
    while not condition() and time.monotonic() < deadline:
        time.sleep(0.05)
    return condition()


@pytest.fixture(scope="module")
def server() -> Iterator[Postgres]:
    with Postgres() as server:
        yield server


def test_postgres_is_version_18_with_an_empty_database(server: Postgres) -> None:
    assert str(ask(server.url, "SHOW server_version")).startswith("18.")
    assert ask(server.url, "SELECT current_database()") == "shimwright"
    assert ask(server.url, "SELECT count(*) FROM pg_tables WHERE schemaname = 'public'") == 0


def test_postgres_listens_on_no_port(server: Postgres) -> None:
    assert ask(server.url, "SHOW listen_addresses") == ""


def test_root_never_owns_the_data(server: Postgres) -> None:
    assert (server.keeper.directory / "data").stat().st_uid != 0


def test_the_programs_beside_the_server_run_against_it(server: Postgres) -> None:
    command = [str(server.bin / "psql"), server.url, "-Atc", "SELECT 6 * 7"]
    assert subprocess.run(command, capture_output=True, check=True).stdout.strip() == b"42"


def durability(server: Postgres) -> set[object]:
    return {ask(server.url, f"SHOW {name}") for name in ("fsync", "synchronous_commit", "full_page_writes")}


def test_a_test_gets_speed(server: Postgres) -> None:
    assert durability(server) == {"off"}


def test_a_benchmark_gets_the_default_durability() -> None:
    with Postgres(durable=True) as server:
        assert durability(server) == {"on"}


def test_an_environment_below_a_closed_directory_is_copied_not_opened(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    closed = tmp_path / "closed"
    home = postgres.copied(postgres.installation(), closed)
    closed.chmod(0o700)
    monkeypatch.setattr(postgres, "installation", lambda: home)
    with Postgres() as server:
        assert ask(server.url, "SELECT 1") == 1
    assert closed.stat().st_mode & 0o777 == 0o700


def test_two_servers_of_each_kind_keep_apart(server: Postgres) -> None:
    with Postgres() as other, Valkey() as left, Valkey() as right:
        with psycopg.connect(other.url) as connection:
            connection.execute("CREATE TABLE shelf ()")
        assert ask(server.url, "SELECT to_regclass('shelf')") is None
        redis.Redis.from_url(left.url).set("bin", "A1")
        assert redis.Redis.from_url(right.url).get("bin") is None


def test_valkey_refuses_whoever_has_no_password() -> None:
    with Valkey() as server:
        stranger = redis.Redis(port=urlsplit(server.url).port or 0, retry=Retry(NoBackoff(), 0))
        with pytest.raises(redis.exceptions.AuthenticationError):
            stranger.ping()


def test_a_port_that_was_just_taken_is_given_up_for_another(monkeypatch: pytest.MonkeyPatch) -> None:
    with socket.socket() as rival:
        rival.bind(("127.0.0.1", 0))
        rival.listen()
        ports = [rival.getsockname()[1], valkey.free_port()]
        monkeypatch.setattr(valkey, "free_port", lambda: ports.pop(0))
        with Valkey() as server:
            assert redis.Redis.from_url(server.url).ping()
    assert ports == []


def postmaster(directory: Path) -> int:
    return int((directory / "data" / "postmaster.pid").read_text().splitlines()[0])


def test_closing_ends_the_server_and_removes_its_directory() -> None:
    with Postgres() as server:
        directory = server.keeper.directory
        pid = postmaster(directory)
        assert is_running(pid)
    assert not is_running(pid)
    assert not directory.exists()


@pytest.mark.parametrize("blow", [signal.SIGKILL, signal.SIGTERM, signal.SIGINT])
def test_servers_go_with_their_parent_whatever_it_dies_of(blow: signal.Signals) -> None:
    root = Path(__file__).parents[2]
    parent = subprocess.Popen([sys.executable, "-c", PARENT], cwd=root, stdout=-1, stderr=subprocess.DEVNULL)
    assert parent.stdout is not None
    with parent.stdout as said:
        directories = [Path(name) for name in said.readline().decode().split()]
    assert len(directories) == 3
    pid = postmaster(directories[0])
    parent.send_signal(blow)
    parent.wait()
    assert comes_true(lambda: not is_running(pid))
    assert comes_true(lambda: not any(directory.exists() for directory in directories))


def test_a_server_that_does_not_start_says_why() -> None:
    keeper = Keeper()
    keeper.run([["/bin/sh", "-c", "echo no such shelf >&2; exit 3"]], signal.SIGTERM)
    with pytest.raises(ServerError, match="no such shelf"):
        keeper.wait_until(lambda: False)


def test_a_server_that_never_answers_is_given_up() -> None:
    keeper = Keeper()
    keeper.run([["/bin/sleep", "60"]], signal.SIGTERM)
    with pytest.raises(ServerError, match="did not answer"):
        keeper.wait_until(lambda: False, seconds=0.2)
    assert not keeper.directory.exists()


def test_a_server_that_ended_before_it_was_told_to_is_reported() -> None:
    keeper = Keeper()
    keeper.run([["/bin/true"]], signal.SIGTERM)
    assert comes_true(lambda: not keeper.directory.exists())
    with pytest.raises(ServerError, match="ended before"):
        keeper.close()
