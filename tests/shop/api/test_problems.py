"""Every error is a problem document, and every code is explained."""

import ast
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from django.db import IntegrityError, transaction
from django.test import Client
from rest_framework.exceptions import Throttled

from inventory.acting import ActError, Conflict
from inventory.models import Maker
from shop.api import errors, problems
from tests.shop.api.talking import Api, problem

ROOT = Path(__file__).parents[3]


def codes_in(file: Path) -> Iterator[str]:
    """Every `code="..."` of an error of an act, given to it or its class's own, in a source file."""
    for node in ast.walk(ast.parse(file.read_text())):
        values: list[ast.expr] = []
        if isinstance(node, ast.Call) and ast.unparse(node.func) != "ValidationError":  # Of a form.
            values = [keyword.value for keyword in node.keywords if keyword.arg == "code"]
        elif isinstance(node, ast.Assign) and [ast.unparse(target) for target in node.targets] == ["code"]:
            values = [node.value]
        yield from (
            value.value
            for value in values
            if isinstance(value, ast.Constant) and isinstance(value.value, str)
        )


def codes_of_acts() -> set[str]:
    files = [file for root in ("shop", "kits") for file in sorted((ROOT / root).glob("*.py"))]
    files += sorted((ROOT / "inventory").rglob("*.py"))  # Its packages hold acts too.
    return {code for file in files for code in codes_in(file)}


def test_every_code_of_an_act_is_explained() -> None:
    codes = codes_of_acts()
    assert {"short", "wrong-part", "never-on-this-engine"} <= codes
    assert codes - problems.KINDS.keys() == set(), "List them in shop/api/problems.py."


def test_the_page_lists_every_kind(api: Api) -> None:
    listed = api("").read("problems/")
    assert {kind["code"] for kind in listed} == problems.KINDS.keys()
    assert all(kind["help"] and kind["title"] for kind in listed)


def test_the_type_of_a_problem_leads_to_its_explanation(api: Api) -> None:
    document = problem(api("counter").get("quotes/1/"), 404, "not-found")
    explained = api("").client.get(document["type"]).json()
    assert explained["code"] == "not-found" and explained["title"] == document["title"]


def test_an_unknown_kind_of_problem_is_itself_not_found(api: Api) -> None:
    problem(api("").get("problems/nonsense"), 404, "not-found")


@pytest.mark.parametrize(
    ("error", "status", "code"),
    [
        (ActError("No."), 422, "refused"),
        (ActError("No.", code="made-up"), 422, "made-up"),
        (Conflict("Too late."), 409, "conflict"),
        (Conflict("Too late.", code="made-up"), 409, "made-up"),
        (ActError("Short.", code="short", lines=[]), 409, "short"),
        (Throttled(3), 429, "too-many-requests"),
    ],
)
def test_errors_become_problem_documents(error: Exception, status: int, code: str) -> None:
    response = errors.handle(error, {})
    assert response is not None
    assert (response.status_code, response.data["code"]) == (status, code)


def test_the_details_of_an_act_are_members_but_never_hide_the_standard_ones() -> None:
    response = errors.problem("short", "Not enough.", {"lines": [1], "status": 200, "type": "x"})
    assert response.data["lines"] == [1]
    assert (response.data["status"], response.data["type"]) == (409, "/api/problems/short")


def test_who_asks_too_often_is_told_how_long_to_wait() -> None:
    response = errors.handle(Throttled(3), {})
    assert response is not None and response["Retry-After"] == "4"


def test_a_fault_of_ours_is_left_to_django() -> None:
    assert errors.handle(RuntimeError("a bug"), {}) is None


@pytest.mark.main_job
@pytest.mark.parametrize("price_rule", [True, False])
def test_a_broken_rule_of_the_database_is_a_conflict(db: None, price_rule: bool) -> None:
    def break_it() -> None:
        if price_rule:
            from inventory.models import Category, Part

            category, maker = Category.objects.create(code="c"), Maker.objects.create(code="m", name="M")
            Part.objects.create(maker=maker, number="1", name="p", category=category, price=-1)
        else:
            Maker.objects.create(code="m", name="M")
            Maker.objects.create(code="m", name="N")

    with pytest.raises(IntegrityError) as caught, transaction.atomic():
        break_it()
    response = errors.handle(caught.value, {})
    assert response is not None
    assert (response.status_code, response.data["code"]) == (409, "conflict")
    assert not price_rule or response.data["constraint"] == "part_price_not_negative"


def test_any_other_broken_integrity_is_a_fault_of_ours(db: None) -> None:
    with pytest.raises(IntegrityError) as caught, transaction.atomic():
        Maker.objects.filter(pk=Maker.objects.create(code="m", name="M").pk).update(name=None)
    assert errors.handle(caught.value, {}) is None


@pytest.mark.parametrize("path", ["nonsense/", "quotes/one/two/three/", "quotes"])
def test_an_address_that_does_not_exist_is_a_problem_document(api: Api, path: str) -> None:
    problem(api("counter").get(path), 404, "not-found")
    problem(api("counter").post(path), 404, "not-found")


@pytest.mark.parametrize(
    ("method", "path", "status", "code"),
    [
        ("put", "quotes/", 405, "method-not-allowed"),
        ("delete", "parts/1/", 405, "method-not-allowed"),
    ],
)
def test_a_wrong_method_is_a_problem_document(
    api: Api, method: str, path: str, status: int, code: str
) -> None:
    response: Any = getattr(api("counter").client, method)(f"/api/{path}")
    problem(response, status, code)
    assert "GET" in response["Allow"]


@pytest.mark.parametrize("body", [b"{", b"\xff", b"{'a': 1}", b'{"a": NaN}'])
def test_a_body_that_is_no_json_is_a_problem_document(api: Api, body: bytes) -> None:
    response = api("counter").client.post("/api/customers/", body, content_type="application/json")
    problem(response, 400, "bad-json")


def test_a_body_of_another_kind_is_a_problem_document(api: Api) -> None:
    response = api("counter").client.post("/api/customers/", b"name=Ines", content_type="text/plain")
    problem(response, 415, "media-type")


def test_an_answer_of_another_kind_is_refused(api: Api) -> None:
    problem(api("counter").client.get("/api/parts/", headers={"Accept": "image/png"}), 406, "not-acceptable")


def test_nobody_signed_in_is_a_problem_document(db: None) -> None:
    response = Client().get("/api/parts/")
    problem(response, 401, "not-signed-in")
    assert response["WWW-Authenticate"] == "Token"
