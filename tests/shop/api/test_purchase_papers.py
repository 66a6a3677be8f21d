"""The papers of an order to a supplier over HTTP: the PDF and the CSV that go with the letter."""

from __future__ import annotations

from typing import Any

import pytest
from django.contrib.auth.models import Permission, User

from shop.documents import csv_of, pdf_of
from tests.shop.api.stages import Stages
from tests.shop.api.talking import Api, Caller, problem

pytestmark = pytest.mark.main_job

# How the CSV is asked for: by the address, or by what is accepted.
AS_CSV = [{"query_params": {"format": "csv"}}, {"headers": {"Accept": "text/csv"}}]


def test_the_pdf_is_the_one_of_the_letter(stages: Stages, api: Api) -> None:
    order = stages.sent()
    answer = api("buying").get(f"purchase-orders/{order.number}/paper/")
    assert answer.content == pdf_of(order)
    assert answer["Content-Type"] == "application/pdf"
    assert answer["Content-Disposition"] == f'attachment; filename="order-{order.number}.pdf"'


@pytest.mark.parametrize("asking", AS_CSV)
def test_so_is_the_csv(asking: dict[str, Any], stages: Stages, api: Api) -> None:
    order = stages.sent()
    order.supplier.offers.update(their_number="ŁŻ 7")
    answer = api("buying").client.get(f"/api/purchase-orders/{order.pk}/paper/", **asking)
    assert answer.content.decode() == csv_of(order)
    assert "ŁŻ 7" in answer.content.decode()
    assert answer["Content-Type"] == "text/csv; charset=utf-8"
    assert answer["Content-Disposition"] == f'attachment; filename="order-{order.number}.csv"'


def test_what_is_no_order_or_no_paper_is_not_found(stages: Stages, api: Api) -> None:
    order, buyer = stages.draft(), api("buying")
    for path in (
        f"purchase-orders/{order.pk + 9}/paper/",
        f"purchase-orders/Q{order.pk:05d}/paper/",
        f"purchase-orders/{order.pk}/paper/?format=exe",
    ):
        problem(buyer.client.get(f"/api/{path}"), 404, "not-found")
    path = f"/api/purchase-orders/{order.pk}/paper/"
    problem(buyer.client.get(path, headers={"Accept": "application/json"}), 406, "not-acceptable")
    problem(buyer.post(path.removeprefix("/api/")), 405, "method-not-allowed")


def test_refusals_are_problems_however_it_is_asked_for(stages: Stages, api: Api) -> None:
    path = f"/api/purchase-orders/{stages.draft().pk}/paper/?format=csv"
    problem(api("").client.get(path), 401, "not-signed-in")
    problem(api("floor").client.get(path), 403, "not-allowed")


@pytest.mark.parametrize("right", ["buy", "handle_alerts", "approve_orders"])
def test_each_right_of_the_desk_opens_them(right: str, stages: Stages) -> None:
    path, user = f"purchase-orders/{stages.draft().pk}/paper/", User.objects.create(username="odile")
    problem(Caller(user).get(path), 403, "not-allowed")
    user.user_permissions.add(Permission.objects.get(codename=right))
    assert Caller(User.objects.get(pk=user.pk)).get(path).status_code == 200
