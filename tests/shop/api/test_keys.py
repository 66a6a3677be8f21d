"""Idempotency-Key: a repeated request gets the first answer again, and nothing is done twice."""

from collections.abc import Callable
from typing import Any

import pytest
from django.contrib.auth.models import Group, User
from django.urls import get_resolver

from inventory.models import AuditEntry
from shop.answering import answer_once
from shop.models import Customer, KeptAnswer, Quote
from tests.shop.api.talking import Api, Caller, problem
from tests.shop.small import SmallShop


def quote_body(shop: SmallShop) -> dict[str, Any]:
    return {"customer": shop.customer.pk, "kits": [{"kit": shop.kit().pk}]}


def test_without_a_key_nothing_is_done_and_the_answer_says_what_to_send(
    small_shop: SmallShop, api: Api
) -> None:
    document = problem(
        api("counter").post("quotes/", quote_body(small_shop), key=""), 400, "idempotency-key-missing"
    )
    assert "Idempotency-Key" in document["detail"] and "UUID" in document["detail"]
    assert not Quote.objects.exists()


@pytest.mark.main_job
def test_the_same_request_gets_the_first_answer_again(small_shop: SmallShop, api: Api) -> None:
    body = quote_body(small_shop)
    first, second = (api("counter").post("quotes/", body, key="k1") for _ in range(2))
    assert first.status_code == second.status_code == 201
    assert first.json() == second.json()
    assert "Idempotency-Replayed" not in first
    assert second["Idempotency-Replayed"] == "true"
    assert Quote.objects.count() == 1
    assert AuditEntry.objects.filter(act="quoting.quote").count() == 1


def test_a_replayed_act_keeps_stock_once(small_shop: SmallShop, api: Api) -> None:
    quote = small_shop.quote()
    for _ in range(3):
        assert api("counter").post(f"quotes/{quote.pk}/accept/", key="k2").status_code == 201
    small_shop.pulley.stock.refresh_from_db()
    assert small_shop.pulley.stock.committed == 1


def test_the_first_answer_is_given_even_when_the_state_has_moved_on(small_shop: SmallShop, api: Api) -> None:
    path = f"quotes/{small_shop.quote().pk}/withdraw/"
    first = api("counter").post(path, key="k3")
    assert api("counter").post(path, key="k3").json() == first.json()
    problem(api("counter").post(path, key="k4"), 409, "withdrawn")


@pytest.mark.parametrize("changed", ["body", "path"])
def test_the_same_key_for_another_request_is_refused(small_shop: SmallShop, api: Api, changed: str) -> None:
    body = quote_body(small_shop)
    api("counter").made("customers/", {"name": "Piet Amsel"})
    api("counter").post("quotes/", body, key="k5")
    if changed == "body":
        response = api("counter").post("quotes/", {**body, "days": 3}, key="k5")
    else:
        response = api("counter").post("customers/", body, key="k5")
    problem(response, 422, "idempotency-key-reused")
    assert Quote.objects.count() == 1


def test_the_order_of_members_and_spaces_make_no_other_request(small_shop: SmallShop, api: Api) -> None:
    client = api("counter").client
    for text in ('{"name": "Ines", "phone": "1"}', '{"phone":"1",  "name":"Ines"}'):
        headers = {"Idempotency-Key": "k6"}
        client.post("/api/customers/", text, content_type="application/json", headers=headers)
    assert Customer.objects.filter(name="Ines").count() == 1


def test_a_key_is_the_users_own(small_shop: SmallShop, api: Api) -> None:
    other = User.objects.create_user("another")
    other.groups.add(Group.objects.get(name="counter"))
    for caller in (api("counter"), Caller(other)):
        response = caller.post("customers/", {"name": "Ines"}, key="k7")
        assert "Idempotency-Replayed" not in response
    assert Customer.objects.filter(name="Ines").count() == 2


@pytest.mark.parametrize("desk", ["floor", "counter"])
def test_errors_are_not_kept(small_shop: SmallShop, api: Api, desk: str) -> None:
    body = {"customer": small_shop.customer.pk, "kits": []}
    assert api(desk).post("quotes/", body, key="k8").status_code == 400
    body = quote_body(small_shop)
    assert api(desk).post("quotes/", body, key="k8").status_code == (201 if desk == "counter" else 403)
    assert KeptAnswer.objects.count() == (1 if desk == "counter" else 0)


def test_an_answer_is_kept_where_a_key_is_welcome_but_not_needed(small_shop: SmallShop, api: Api) -> None:
    body = {"template": small_shop.template.code, "engine": small_shop.engine.code}
    first = api("counter").post("custom-kits/", body, key="k9").json()
    assert api("counter").post("custom-kits/", body, key="k9").json() == first
    assert api("counter").post("custom-kits/", body, key="").json()["id"] != first["id"]


def test_a_key_that_is_too_long_is_refused(api: Api) -> None:
    document = problem(api("counter").post("customers/", {"name": "Ines"}, key="k" * 121), 400, "invalid")
    assert "Idempotency-Key" in document["errors"]


@pytest.mark.main_job
def test_a_crash_keeps_neither_the_answer_nor_the_act(small_shop: SmallShop, api: Api) -> None:
    def crash() -> tuple[int, Any]:
        small_shop.quote()
        raise RuntimeError("the machine stopped")

    with pytest.raises(RuntimeError):
        answer_once(small_shop.counter, "k10", "", crash)
    assert not KeptAnswer.objects.exists()
    assert not Quote.objects.exists()


@pytest.mark.main_job
@pytest.mark.django_db(transaction=True)
def test_of_two_at_once_one_is_done_and_both_get_its_answer(
    small_shop: SmallShop, run_in_threads: Callable[..., list[Any]]
) -> None:
    body = quote_body(small_shop)

    def send() -> Any:
        return Caller(small_shop.counter).post("quotes/", body, key="k11")

    answers = run_in_threads(send, send)
    assert [answer.status_code for answer in answers] == [201, 201]
    assert answers[0].json() == answers[1].json()
    assert sorted("Idempotency-Replayed" in answer for answer in answers) == [False, True]
    assert Quote.objects.count() == 1


@pytest.mark.django_db(transaction=True)
def test_of_two_at_once_that_are_refused_neither_is_kept(
    small_shop: SmallShop, run_in_threads: Callable[..., list[Any]]
) -> None:
    """The second waits for the first, finds nothing kept, and is judged by itself."""
    quote = small_shop.quote(3)  # Two pumps are there.

    def send() -> Any:
        return Caller(small_shop.counter).post(f"quotes/{quote.pk}/hold/", key="k12")

    for answer in run_in_threads(send, send):
        problem(answer, 409, "short")
    assert not KeptAnswer.objects.exists()


KIT_ACTS = ("swap", "swap-together", "let-follow")  # A kit is no stock and no money yet.


def handlers() -> list[tuple[str, str, Any]]:
    """Every POST handler under /api/: address, name, function."""
    found = []
    for prefix in get_resolver().url_patterns:
        for pattern in getattr(prefix, "url_patterns", []):
            for leaf in getattr(pattern, "url_patterns", [pattern]):
                view = getattr(leaf.callback, "cls", None)
                name = getattr(leaf.callback, "actions", {}).get("post")
                if view is not None and name and view.__module__.startswith("shop.api"):
                    found.append((str(leaf.pattern), name, getattr(view, name)))
    return found


def test_every_post_that_changes_stock_or_money_needs_a_key() -> None:
    of_a_kit = {f"custom-kits/(?P<pk>[A-Z]?\\d{{1,19}})/{one}/$" for one in KIT_ACTS}
    optional = {"customers/$", "custom-kits/$", *of_a_kit}
    required = {address.lstrip("^"): handler.key_required for address, _, handler in handlers()}
    assert len(required) == 17
    assert {address for address, needed in required.items() if not needed} == optional
