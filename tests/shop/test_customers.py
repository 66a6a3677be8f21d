"""Writing a customer down."""

import pytest

from inventory.acting import ActError
from shop.customers import add_customer
from shop.models import Customer
from tests.clerks import Clerk


def test_nothing_but_the_name_has_to_be_known(clerk: Clerk) -> None:
    assert str(add_customer(clerk("counter"), "  Ines Halloran ")) == "Ines Halloran"


@pytest.mark.parametrize(("name", "email"), [("  ", ""), ("Ines", "not an address"), ("x" * 121, "")])
def test_what_cannot_be_is_refused_by_field(clerk: Clerk, name: str, email: str) -> None:
    with pytest.raises(ActError) as caught:
        add_customer(clerk("counter"), name, email=email)
    assert caught.value.code == "bad-customer"
    assert set(caught.value.details["fields"]) == ({"email"} if email else {"name"})
    assert not Customer.objects.exists()
