"""Visitors of the pages, signed in at a desk."""

from collections.abc import Callable

import pytest
from django.test import Client

from tests.clerks import Clerk

At = Callable[[str], Client]


@pytest.fixture
def at(clerk: Clerk) -> At:
    """`at("counter")` is a browser in which that desk's clerk is signed in."""

    def signed_in(desk: str) -> Client:
        client = Client()
        client.force_login(clerk(desk))
        return client

    return signed_in
