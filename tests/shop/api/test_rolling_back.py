"""A refused request changes nothing, however far it got."""

from typing import Any

import pytest
from django.db import connection, transaction

from inventory.acting import ActError
from inventory.models import AuditEntry, Reservation, Stock
from shop.api import errors
from shop.models import Customer, Order, Parcel, Quote
from tests.shop.api.talking import Api, problem
from tests.shop.small import SmallShop


def picture() -> Any:
    """All that the requests below could have changed."""
    return (
        list(Stock.objects.values_list("part", "on_hand", "held", "committed")),
        list(Quote.objects.values_list("pk", "state", "reservation")),
        Reservation.objects.count(),
        Order.objects.count(),
        Parcel.objects.count(),
        AuditEntry.objects.count(),
    )


def test_a_hold_that_falls_short_keeps_nothing(small_shop: SmallShop, api: Api) -> None:
    quote = small_shop.quote(3)
    before = picture()
    document = problem(api("counter").post(f"quotes/{quote.pk}/hold/"), 409, "short")
    assert [line["number"] for line in document["lines"]] == ["OR-7P", "OR-8B"]
    assert picture() == before


def test_an_error_after_the_act_takes_the_act_back(
    small_shop: SmallShop, api: Api, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The act has run and written; then the answer cannot be made."""
    quote = small_shop.quote()
    before = picture()

    def refuse(*_: Any) -> Any:
        assert Order.objects.exists()
        raise ActError("Refused after all.")

    monkeypatch.setattr("shop.api.views.quotes.order_answer", refuse)
    problem(api("counter").post(f"quotes/{quote.pk}/accept/"), 422, "refused")
    assert picture() == before


@pytest.mark.django_db(transaction=True)
def test_a_handled_error_marks_the_whole_request_for_rolling_back() -> None:
    """As under ATOMIC_REQUESTS, should somebody switch it on."""
    connection.settings_dict["ATOMIC_REQUESTS"] = True
    try:
        with transaction.atomic():
            Customer.objects.create(name="Ines")
            errors.handle(ActError("Refused."), {})
    finally:
        connection.settings_dict["ATOMIC_REQUESTS"] = False
    assert not Customer.objects.exists()
