"""The OpenAPI description: current, valid, and served with a page that needs no network."""

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import yaml
from django.core.management import call_command
from django.test import Client

from shop.api import keys

SNAPSHOT = Path(__file__).parents[3] / "shop" / "api" / "openapi.yaml"


@pytest.fixture(scope="module")
def current(tmp_path_factory: pytest.TempPathFactory) -> str:
    """Made as `make api-schema` makes it; a warning fails it."""
    file = tmp_path_factory.mktemp("schema") / "openapi.yaml"
    call_command("spectacular", file=str(file), validate=True, fail_on_warn=True)
    return file.read_text()


@pytest.fixture
def schema(current: str) -> Any:
    return yaml.safe_load(current)


def operations(schema: Any) -> Iterator[tuple[str, str, Any]]:
    for path, methods in schema["paths"].items():
        for method, operation in methods.items():
            yield path, method, operation


def test_the_snapshot_is_current(current: str) -> None:
    assert current == SNAPSHOT.read_text(), "Run `make api-schema` and look at what it changed."


def test_it_is_openapi_3_1(schema: Any) -> None:
    assert schema["openapi"].startswith("3.1")


def test_every_operation_names_its_problems(schema: Any) -> None:
    for path, method, operation in operations(schema):
        problems = {status for status in operation["responses"] if status >= "400"}
        assert "401" in problems or path.startswith(("/api/sign-in", "/api/problems")), path
        assert method == "get" or problems >= {"400", "409", "422"} or "sign-in" in path, path
        for status in problems:
            assert list(operation["responses"][status]["content"]) == ["application/problem+json"]


def test_the_key_is_declared_where_it_is_taken(schema: Any) -> None:
    declared = {
        path: parameter["required"]
        for path, method, operation in operations(schema)
        if method == "post"
        for parameter in operation.get("parameters", [])
        if parameter["name"] == keys.HEADER and parameter.get("required")
    }
    posts = {path for path, method, _ in operations(schema) if method == "post"}
    of_a_kit = {f"/api/custom-kits/{{id}}/{one}/" for one in ("swap", "swap-together", "let-follow")}
    without = {"/api/sign-in/", "/api/customers/", "/api/custom-kits/", *of_a_kit}
    assert declared.keys() == posts - without


def test_money_is_text(schema: Any) -> None:
    prices = schema["components"]["schemas"]["Part"]["properties"]["price"]
    assert prices["type"] == "string"


def test_the_page_is_served_without_any_other_host(db: None) -> None:
    page = Client().get("/api/docs/")
    assert page.status_code == 200
    assert re.findall(r"(?:src|href)=\"(?:https?:)?//[^\"]*", page.content.decode()) == []
    assert Client().get("/api/schema/").status_code == 200
