"""Visitors of the pages, signed in at a desk."""

from collections.abc import Callable

import pytest
from django.test import Client

from tests.clerks import Clerk
from tests.shop.api.stages import Stages
from tests.shop.small import SmallShop

At = Callable[[str], Client]


@pytest.fixture
def at(clerk: Clerk) -> At:
    """`at("counter")` is a browser in which that desk's clerk is signed in."""

    def signed_in(desk: str) -> Client:
        client = Client()
        client.force_login(clerk(desk))
        return client

    return signed_in


@pytest.fixture
def stages(small_shop: SmallShop, clerk: Clerk) -> Stages:
    """The small shop, to be brought to any stage of the job."""
    return Stages(small_shop, clerk)
