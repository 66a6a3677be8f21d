"""Idempotency-Key: a repeated request gets the first answer again, and nothing is done twice."""

import re
from collections.abc import Callable, Iterable, Iterator
from typing import Any

import pytest
from django.contrib.auth.models import Group, User

import shop.api.urls
from inventory.models import (
    AuditEntry,
    Balance,
    Movement,
    PurchaseLine,
    Reservation,
    ReservationLine,
    Stock,
    WalkStop,
)
from shop.answering import answer_once
from shop.api.views.entry import Nowhere
from shop.models import Customer, KeptAnswer, Quote
from tests.shop.api.stages import Stages
from tests.shop.api.talking import Api, Caller, problem
from tests.shop.api.test_permissions import WRITES
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


# Where a key is welcome but may be left out, and why. All else that is not a mere read needs one.
OPTIONAL = {
    "customers/": "A customer too many is no stock and no money.",
    "custom-kits/": "A kit is no stock and no money before it is quoted.",
    "custom-kits/{}/swap/": "Sent twice, it finds the slot filled; a kit has a version.",
    "custom-kits/{}/swap-together/": "As swap.",
    "custom-kits/{}/let-follow/": "As swap.",
}
NO_ACT = {"sign-in/": "Gives the user's token, the same each time."}
UNSAFE = ("post", "put", "patch", "delete")


def routes(
    prefixes: Iterable[Any] = shop.api.urls.urlpatterns, before: str = ""
) -> Iterator[tuple[str, Any]]:
    """Every address under /api/, with {} for what varies, and its view."""
    for one in prefixes:
        address = before + re.sub(
            r"\(\?P<\w+>(?:\[[^]]*\]|[^][()])*\)|<[^>]*>", "{}", str(one.pattern).strip("^$")
        )
        if hasattr(one, "url_patterns"):
            yield from routes(one.url_patterns, address)
        else:
            yield address, one.callback


def unsafe_handlers() -> Iterator[tuple[str, Any]]:
    """The function that answers each request that is not a mere read, by its address."""
    for address, callback in routes():
        view = callback.cls
        actions = getattr(callback, "actions", None) or {method: method for method in UNSAFE}
        for method in UNSAFE:
            if method in actions and hasattr(view, actions[method]) and view is not Nowhere:
                yield address, getattr(view, actions[method])


def test_every_request_that_may_change_stock_or_money_needs_a_key() -> None:
    found = list(unsafe_handlers())
    assert {"quotes/", "quotes/{}/hold/", "walks/{}/stops/{}/pick/"} <= {address for address, _ in found}
    loose = {address for address, handler in found if not getattr(handler, "key_required", False)}
    assert loose == OPTIONAL.keys() | NO_ACT.keys(), "Mark the handler with @keyed(), or say why not."


def test_where_a_key_is_welcome_the_handler_takes_it() -> None:
    takes = {address for address, handler in unsafe_handlers() if hasattr(handler, "key_required")}
    assert takes >= OPTIONAL.keys()


def shelves() -> list[Any]:
    """All stock and all promises."""
    kept = (Stock, Balance, Movement, Reservation, ReservationLine, PurchaseLine, WalkStop)
    return [list(model._default_manager.order_by("pk").values()) for model in kept]


@pytest.mark.parametrize("address", WRITES)
def test_without_a_key_no_stock_changes(address: str, stages: Stages, api: Api) -> None:
    desks, request = WRITES[address]
    path, body = request(stages)
    before = shelves()
    answer = api(desks[0]).post(path, body, key="")
    if re.sub(r"{\w+}", "{}", address) in OPTIONAL:
        assert answer.status_code in (200, 201)
    else:
        problem(answer, 400, "idempotency-key-missing")
    assert shelves() == before
