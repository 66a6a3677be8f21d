"""Chooses and starts what the tests run on, before Django reads its settings.

`--on postgres` (the default) is the served shop: PostgreSQL and a Redis-protocol server, those of
DATABASE_URL and REDIS_URL or else servers of this run's own. `--on sqlite` is the embedded shop: a
database file and tasks in process. Workers of pytest-xdist inherit the environment of the process
that started them, and with it the servers; each has databases of its own there.
"""

import os
from contextlib import ExitStack
from urllib.parse import urlsplit

import pytest

from tests.servers import Keeper, Postgres, Valkey

# Set where the database goes with the run: what is in it need not be dropped, which takes its time.
PASSING = "SHIMWRIGHT_TESTS_PASSING_DATABASE"
SECRET_KEY = "for-tests-only-and-as-long-as-the-system-check-asks-for"


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption(
        "--on",
        choices=["postgres", "sqlite"],
        default="postgres",
        help="The database to test on; with sqlite, use '-m main_job' as `make test` does.",
    )


# Before pytest-django's own, which loads the settings.
@pytest.hookimpl(tryfirst=True)
def pytest_load_initial_conftests(early_config: pytest.Config) -> None:
    chosen = early_config.known_args_namespace
    worker = os.environ.get("PYTEST_XDIST_WORKER")
    if worker:
        if os.environ.get("REDIS_URL"):
            os.environ["REDIS_URL"] = broker_of(worker, os.environ["REDIS_URL"])
        return
    if chosen.help or chosen.version:
        return
    os.environ.pop(PASSING, None)
    servers = ExitStack()
    early_config.add_cleanup(servers.close)
    os.environ.setdefault("SHIMWRIGHT_SECRET_KEY", SECRET_KEY)
    if chosen.on == "sqlite":
        use_embedded(servers)
    else:
        use_served(servers)


def use_embedded(servers: ExitStack) -> None:
    """A database in a file, not in memory, because two counters are two connections."""
    directory = servers.enter_context(Keeper()).directory
    os.environ["DATABASE_URL"] = f"sqlite:///{directory / 'shop.sqlite3'}"
    os.environ[PASSING] = "yes"
    os.environ.pop("REDIS_URL", None)


def use_served(servers: ExitStack) -> None:
    """The named servers, or our own for each that is not named."""
    named = os.environ.get("DATABASE_URL")
    if named and named.startswith("sqlite:"):
        raise pytest.UsageError(
            "DATABASE_URL names a SQLite file: unset it, name a PostgreSQL, or say --on sqlite."
        )
    if not named:
        os.environ["DATABASE_URL"] = servers.enter_context(Postgres()).url
        os.environ[PASSING] = "yes"
    if not os.environ.get("REDIS_URL"):
        os.environ["REDIS_URL"] = servers.enter_context(Valkey()).url


def broker_of(worker: str, url: str) -> str:
    """The numbered database of "gw0", "gw1" ..., after the run's own: a test that empties the cache
    empties all of a number, with the tasks that wait there.
    """
    parts = urlsplit(url)
    number = int(parts.path.strip("/") or 0) + int(worker.removeprefix("gw")) + 1
    return parts._replace(path=f"/{number}").geturl()


def pytest_report_header(config: pytest.Config) -> str:
    return f"shop: tested on {config.getoption('--on')}"
