"""Customers over HTTP."""

from tests.shop.api.talking import Api, problem
from tests.shop.small import SmallShop


def test_a_customer_is_written_down_and_read(small_shop: SmallShop, api: Api) -> None:
    body = {"name": "Piet Amsel", "phone": "12 34", "email": "piet@example.org", "address": "Pier 2"}
    made = api("counter").made("customers/", body)
    assert made == {"id": made["id"], **body}
    assert api("counter").read(f"customers/{made['id']}/") == made


def test_only_the_name_has_to_be_known(api: Api) -> None:
    assert api("counter").made("customers/", {"name": "Piet Amsel"})["email"] == ""
    document = problem(api("counter").post("customers/", {"email": "piet"}), 400, "invalid")
    assert document["errors"].keys() == {"name", "email"}


def test_customers_are_found_by_name(small_shop: SmallShop, api: Api) -> None:
    api("counter").made("customers/", {"name": "Piet Amsel"})
    found = api("counter").read("customers/", name="hallo")["results"]
    assert [customer["name"] for customer in found] == ["Ines Halloran"]
