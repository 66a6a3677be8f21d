"""Pure packages know no framework, clock, network, environment or chance but what they are given.

import-linter holds the frameworks off, by the list in pyproject.toml that this test reads too; here
is the rest.
"""

import ast
import subprocess
import sys
import tomllib
from collections.abc import Iterator

import pytest

from .source import HOUSE, ROOT, dotted, imports, place, python_files

CONTRACT = "Pure packages import no framework, server or client"

IMPURE_MODULES = {
    "aiohttp", "asyncio", "celery", "django", "getpass", "http", "httpx", "importlib", "io", "logging",
    "multiprocessing", "os", "pathlib", "platform", "psycopg", "redis", "requests", "rest_framework",
    "secrets", "shutil", "signal", "socket", "sqlite3", "ssl", "subprocess", "sys", "tempfile",
    "threading", "time", "urllib", "zoneinfo",
}  # fmt: skip

IMPURE_CALLS = {
    "datetime.now", "datetime.today", "datetime.utcnow", "date.today", "uuid.uuid1", "uuid.uuid4", "uuid1",
    "uuid4", "open", "input", "print", "__import__", "SystemRandom", "random.SystemRandom",
}  # fmt: skip

SEEDED = {"random.Random", "Random", "default_rng", "random.default_rng"}


def pure_packages() -> list[str]:
    configuration = tomllib.loads((ROOT / "pyproject.toml").read_text())
    contracts = configuration["tool"]["importlinter"]["contracts"]
    return next(list(each["source_modules"]) for each in contracts if each["name"] == CONTRACT)


def impurities(source: str, pure: list[str]) -> Iterator[tuple[ast.stmt | ast.expr, str]]:
    """Everything in a source text that its package may not do."""
    tree = ast.parse(source)
    for statement, name in imports(tree):
        root = name.split(".")[0]
        if root in IMPURE_MODULES:
            yield statement, f"imports {name}"
        if root in HOUSE and not any(f"{name}.".startswith(f"{package}.") for package in pure):
            yield statement, f"imports {name}, which is not pure"
        if root == "random" and name not in {"random.Random", "random"}:
            yield statement, f"imports {name}, which draws from a shared generator"
    for node in ast.walk(tree):
        if isinstance(node, ast.Call):
            yield from impure_call(node)


def impure_call(call: ast.Call) -> Iterator[tuple[ast.expr, str]]:
    name = dotted(call.func)
    last_two = ".".join(name.split(".")[-2:])
    if name in IMPURE_CALLS or last_two in IMPURE_CALLS:
        yield call, f"calls {name}"
    elif last_two in SEEDED:
        if not call.args and not call.keywords:
            yield call, f"calls {name} without a seed"
    elif name.startswith("random."):
        yield call, f"calls {name}, which draws from a shared generator"


@pytest.mark.parametrize("package", pure_packages())
def test_a_pure_package_is_pure(package: str) -> None:
    files = python_files(package.replace(".", "/"))
    assert files, f"{package} is listed as pure and has no code"
    found = [
        f"{place(file, node)} {what}"
        for file in files
        for node, what in impurities(file.read_text(), pure_packages())
    ]
    assert found == []


@pytest.mark.parametrize("package", pure_packages())
def test_importing_a_pure_package_loads_no_framework(package: str) -> None:
    look = f"import sys, {package}; print([m for m in ('django', 'celery', 'psycopg') if m in sys.modules])"
    said = subprocess.run([sys.executable, "-c", look], cwd=ROOT, capture_output=True, check=True, text=True)
    assert said.stdout.strip() == "[]"


@pytest.mark.parametrize(
    "line",
    [
        "import os",
        "from os import environ",
        "import urllib.request",
        "from django.db import models",
        "from time import monotonic",
        "from random import choice",
        "from kits.models import Part",
        "import inventory.models",
        "import datetime\nnow = datetime.datetime.now()",
        "from datetime import date\ntoday = date.today()",
        "import random\nx = random.random()",
        "import random\nx = random.Random()",
        "import numpy as np\nx = np.random.default_rng()",
        "print('fits')",
        "open('table')",
    ],
)
def test_the_look_out_sees_it(line: str) -> None:
    assert list(impurities(line, ["kits.fit"]))


@pytest.mark.parametrize(
    "line",
    [
        "from datetime import date",
        "from .length import Length",
        "from kits.fit import Length",
        "import math",
        "from random import Random\nx = Random(seed).random()",
        "import random\nx = random.Random(7)",
        "import numpy as np\nx = np.random.default_rng(seed)",
        "opened = part.open()",
    ],
)
def test_the_look_out_lets_it_pass(line: str) -> None:
    assert list(impurities(line, ["kits.fit"])) == []
