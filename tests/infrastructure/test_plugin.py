"""A test run brings its own servers, leaves named ones alone, and takes its own away again."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.plugin import broker_of

ROOT = Path(__file__).parents[2]

CONFIGURATION = """
[pytest]
addopts = -p tests.plugin -p no:django -p no:cacheprovider
"""

REPORTS_AND_FAILS = """
import os
from pathlib import Path

def test_report():
    Path("report").write_text("\\n".join(os.environ.get(n, "") for n in ("DATABASE_URL", "REDIS_URL")))
    assert False
"""


def run_pytest(folder: Path, *options: str, **environment: str) -> subprocess.CompletedProcess[str]:
    """Run a small failing suite of its own, with the plugin, where no server is named unless given."""
    (folder / "pytest.ini").write_text(
        "[pytest]\naddopts = -p tests.plugin -p no:django -p no:cacheprovider\n"
    )
    (folder / "test_it.py").write_text(REPORTS_AND_FAILS)
    inherited = {
        name: value
        for name, value in os.environ.items()
        if name not in {"DATABASE_URL", "REDIS_URL"} and not name.startswith("PYTEST")
    }
    return subprocess.run(
        [sys.executable, "-m", "pytest", *options],
        cwd=folder,
        env=inherited | {"PYTHONPATH": str(ROOT)} | environment,
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        check=False,
    )


def reported(folder: Path) -> tuple[str, str]:
    database, broker = (folder / "report").read_text().split("\n")
    return database, broker


def test_a_run_starts_servers_and_removes_them_after_a_failure(tmp_path: Path) -> None:
    assert run_pytest(tmp_path).returncode == pytest.ExitCode.TESTS_FAILED
    database, broker = reported(tmp_path)
    assert database.startswith("postgresql://")
    assert broker.startswith("redis://")
    assert not Path(database.split("?host=")[1]).exists()


def test_workers_share_the_servers_of_the_run(tmp_path: Path) -> None:
    run_pytest(tmp_path, "-n", "1")
    database, broker = reported(tmp_path)
    assert database.startswith("postgresql://")
    assert broker.startswith("redis://")
    assert broker.endswith("/1")


def test_each_worker_has_a_number_of_its_own_at_the_broker() -> None:
    assert broker_of("gw0", "redis://:word@127.0.0.1:7000/0") == "redis://:word@127.0.0.1:7000/1"
    assert broker_of("gw1", "redis://:word@127.0.0.1:7000/0") == "redis://:word@127.0.0.1:7000/2"
    assert broker_of("gw0", "redis://elsewhere") == "redis://elsewhere/1"


def test_the_embedded_shop_is_a_file_and_no_broker(tmp_path: Path) -> None:
    run_pytest(tmp_path, "--on", "sqlite", REDIS_URL="redis://elsewhere/0")
    database, broker = reported(tmp_path)
    assert database.startswith("sqlite:////")
    assert broker == ""
    assert not Path(database.removeprefix("sqlite:///")).parent.exists()


def test_named_servers_are_used_as_they_are(tmp_path: Path) -> None:
    named = ("postgresql://somewhere/shop", "redis://elsewhere/0")
    run_pytest(tmp_path, DATABASE_URL=named[0], REDIS_URL=named[1])
    assert reported(tmp_path) == named


def test_a_file_is_no_served_shop(tmp_path: Path) -> None:
    run = run_pytest(tmp_path, DATABASE_URL="sqlite:///shop.sqlite3")
    assert run.returncode == pytest.ExitCode.USAGE_ERROR
    assert "--on sqlite" in run.stderr
